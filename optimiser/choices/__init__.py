"""What may be laid: make-ups, choices, what an option admits, what came nearest."""
