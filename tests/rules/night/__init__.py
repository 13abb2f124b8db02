"""One night of one site, judged without a database."""
