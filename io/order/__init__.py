"""The order. May import: drawings, evidence, inputs, laying, models, paper, whole_file, words."""
