"""The decision: which make-ups, what to buy, what to ship by what, which vessel; and its proof."""
