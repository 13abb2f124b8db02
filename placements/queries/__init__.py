"""What is there in placements: ORM in, frozen values out; nothing is written."""
