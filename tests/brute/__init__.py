"""Least costs by trying everything, apart from the optimiser."""
