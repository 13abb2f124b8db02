"""What we do in placements: one function a verb, atomic, audited."""
