"""How the house is built, and what its documents say."""
