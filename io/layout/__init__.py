"""Every input sheet and column, once."""
