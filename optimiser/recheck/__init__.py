"""The finished plan, worked again by none of the above."""
