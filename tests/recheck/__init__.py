"""The check of a finished plan."""
