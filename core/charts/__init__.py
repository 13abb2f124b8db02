"""Charts as SVG text: what was measured before a band of what was wanted. Pure."""
