"""Signs, doses, tests: arithmetic and watching, never a diagnosis."""
