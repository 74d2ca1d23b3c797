"""What may be laid: make-ups, vessels, options, near misses. May import: models."""
