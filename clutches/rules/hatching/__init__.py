"""Young that come out of eggs, or are born: what they are called."""
