"""Rules: tables and laws, no database."""
