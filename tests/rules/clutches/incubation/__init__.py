"""Eggs of one night, without a database."""
