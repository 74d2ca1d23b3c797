"""From the programme to the least settlement and its bound, and to a plan."""
