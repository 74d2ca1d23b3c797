"""The evidence book."""
