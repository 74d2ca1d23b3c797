"""Pricing. May import: its own files, after, choices, models, recheck, search, solvers, stowage."""
