"""Clients that are written from docs/openapi.yaml, and what they are asked to do."""
