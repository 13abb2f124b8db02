"""What we do in husbandry: one verb a function, atomic, with its audit entry."""
