"""When quarantine may end: its clock, its criteria, and what breaks it."""
