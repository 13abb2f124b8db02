"""Which pair would do well, and what speaks against it."""
