"""Load plans and what bounds them. Knows packs and boxes."""
