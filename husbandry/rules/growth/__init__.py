"""How animals grow: references, clutch-mates, curves."""
