"""The people's front door (web pages; the admin site is part of it)."""
