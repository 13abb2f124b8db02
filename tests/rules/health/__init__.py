"""Rules about health."""
