"""What can be bought, and how it travels. May import: arrays, constants, fault, site."""
