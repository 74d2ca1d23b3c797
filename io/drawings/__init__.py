"""Pictures: map, legs, loads, costs."""
