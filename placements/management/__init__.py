"""Django package."""
