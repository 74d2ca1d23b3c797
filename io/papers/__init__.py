"""Readers' papers. May import: buying, evidence, inputs, laying, models, order, paper, reading, words."""  # noqa: E501
