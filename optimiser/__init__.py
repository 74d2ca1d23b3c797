"""The main job. May import: its own files, choices, models, recheck, search, solvers, stowage."""
