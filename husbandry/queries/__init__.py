"""What is there in husbandry: ORM in, values out, a fixed number of queries."""
