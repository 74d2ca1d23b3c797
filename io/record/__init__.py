"""The plan as a sheet of its order, to be read back. May import: models, paper, words."""
