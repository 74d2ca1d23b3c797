"""What is shown beside a plan and decides nothing."""
