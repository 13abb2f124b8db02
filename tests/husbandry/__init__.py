"""Tests of husbandry's queries and actions, with real rows."""
