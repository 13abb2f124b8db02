"""Tests of the room that all others share."""
