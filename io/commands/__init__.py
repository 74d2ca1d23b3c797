"""The command line; of io it alone sees the optimiser. May import: io, models, optimiser."""
