"""The options book and break-even. May import: models, paper, told, words."""
