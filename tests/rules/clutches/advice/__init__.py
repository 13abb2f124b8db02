"""Advice on pairs."""
