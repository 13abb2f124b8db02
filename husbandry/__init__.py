"""Species, animals, enclosures, readings, weights and the nightly review."""
