"""Pull tests and what is shown beside a plan."""
