"""Pedigree arithmetic held to published figures and another library."""
