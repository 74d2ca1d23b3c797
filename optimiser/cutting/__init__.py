"""Cutting lists and what bounds them. Knows lengths only."""
