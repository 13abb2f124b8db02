"""When females are expected to lay, and what that costs them."""
