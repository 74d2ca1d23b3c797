"""The whole order in columns and rows."""
