"""What can be bought, and how it travels."""
