"""Eggs: how they stand, what candling tells, what is due among them."""
