"""The machines' front door (REST)."""
