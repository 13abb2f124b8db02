"""What is true in placements: pure functions and frozen values."""
