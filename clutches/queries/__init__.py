"""What is on record of breeding: rows in, values out; never writes."""
