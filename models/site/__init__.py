"""What the buyer says of the place, a row each. May import: arrays, fault."""
