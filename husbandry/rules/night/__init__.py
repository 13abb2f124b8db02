"""One night of one site: what is known, what is wanted, what is wrong."""
