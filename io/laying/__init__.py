"""The sheets for those who lay."""
