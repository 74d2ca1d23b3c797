"""Quotations asked for, and taken. May import: inputs, layout, models, paper, reading, words."""
