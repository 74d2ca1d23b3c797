"""A farm priced anew. May import: choices, models, price, programme, search, solvers, stowage."""
