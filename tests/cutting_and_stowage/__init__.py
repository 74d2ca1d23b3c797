"""Cutting lists and load plans."""
