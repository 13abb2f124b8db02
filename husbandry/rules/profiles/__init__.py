"""What each animal needs, as data with its sources: values, reading, resolving."""
