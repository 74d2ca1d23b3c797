"""Quotations asked for, and taken. May import: figures, inputs, layout, models, paper, reading, words."""  # noqa: E501
