"""Tests: rules by table and law, rooms with real rows, doors by role, nights by story."""
