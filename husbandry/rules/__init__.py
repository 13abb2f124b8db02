"""What is true in husbandry: pure functions and frozen values."""
