"""Every input sheet and column, once, and what needs them. May import: models."""
