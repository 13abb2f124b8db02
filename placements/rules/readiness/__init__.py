"""Whether a home's enclosure is what an animal needs, by the nightly review's rules."""
