"""Load plans and what bounds them. May import: models, solvers."""
