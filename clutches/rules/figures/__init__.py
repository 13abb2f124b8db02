"""What became of eggs and hatchlings, counted, with what is not known beside it."""
