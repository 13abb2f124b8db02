"""The people's door."""
