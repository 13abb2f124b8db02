"""Wiring only: settings, addresses, workers and the one schedule table."""
