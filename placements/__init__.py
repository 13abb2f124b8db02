"""Placements and the packet that goes home with an animal."""
