"""The back office of breeding. Django finds it here."""
