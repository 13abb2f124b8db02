"""The suite."""
