"""An earlier plan among a farm's choices. May import: choices, models, search."""
