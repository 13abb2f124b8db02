"""The machines' door."""
