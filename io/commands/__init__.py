"""The command line: the one room of io that sees the optimiser."""
