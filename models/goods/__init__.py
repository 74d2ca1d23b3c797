"""What can be bought, and how it travels. May import: constants, fault, site."""
