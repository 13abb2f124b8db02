"""What every room shares: people, roles, audit, errors, units, places."""
