"""From pull tests alone to a first price, and what to find out next."""
