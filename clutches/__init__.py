"""From a pairing to hatchlings; its floors fill with the clutches work."""
