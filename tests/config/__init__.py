"""Settings and the schedule."""
