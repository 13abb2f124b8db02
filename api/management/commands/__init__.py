"""Commands of the API."""
