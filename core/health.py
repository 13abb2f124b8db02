"""Whether the program can work at all."""

from django.db import connection


def ask_database() -> None:
    """Ask the database for nothing; one query.

    Raises:
        DatabaseError: it does not answer.
    """
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
