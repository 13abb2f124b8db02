"""Growth: references, mates, trends and curves, against published answers."""
