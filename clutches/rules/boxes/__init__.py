"""Egg boxes: their places, and the water in them."""
