"""Every input sheet and column, once. May import: models."""
