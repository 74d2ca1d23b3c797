"""The main job. May import: choices, failures, models, recheck, search, solvers, stowage."""
