"""The search: its answers against other ways to them."""
