"""Load plans and what bounds them. May import: cutting, models, solvers."""
