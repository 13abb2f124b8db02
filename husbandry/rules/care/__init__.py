"""What is due each day, what closes it, and what is overdue."""
