"""Cutting lists and their bounds; lengths only. May import: models.arrays, solvers."""
