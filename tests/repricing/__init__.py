"""Options, rates and reasons."""
