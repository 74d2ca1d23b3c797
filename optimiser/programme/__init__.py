"""The order in columns and rows. May import: choices, cutting, models, solvers, stowage."""
