"""What else is asked of a farm, and its answers. May import: answer, farm, option, rate."""
