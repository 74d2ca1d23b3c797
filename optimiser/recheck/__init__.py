"""The finished plan, worked again by none of the other rooms. May import: models."""
