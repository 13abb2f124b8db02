"""Pairs and introductions, without a database."""
