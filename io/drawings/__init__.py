"""Pictures: map, legs, loads, costs. May import: models, words."""
