"""Messages to other programs: addresses, signatures, sending, trying again."""
