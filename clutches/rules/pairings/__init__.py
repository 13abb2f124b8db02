"""Who can be paired, and how a pair is put together."""
