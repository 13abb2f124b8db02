"""What is true of breeding: pure functions and frozen values."""
