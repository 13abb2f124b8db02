"""Papers of animals: what they may say, and when they end."""
