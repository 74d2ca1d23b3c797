"""Three invented farms, and what several ways of pricing them cost in time and memory."""
