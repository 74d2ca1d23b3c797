"""Rival offers of one item: priced, asked for, taken and compared."""
