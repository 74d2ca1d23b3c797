"""How sure the money is: days, draws, certainty, the worth of a test, years of chain."""
