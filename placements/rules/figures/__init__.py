"""How many came, stayed and left, how long, and what was left out of the count."""
