"""Store readings as each database reads a night fastest (ADR 0002).

PostgreSQL: a block-range index on the instant. SQLite: the table in key order,
without a row id. A later change of this table on SQLite copies it and loses that:
run `sqlite_in_key_order` again after it.
"""

from django.db import migrations

BRIN = "CREATE INDEX husbandry_reading_at_brin ON husbandry_reading USING brin (at) WITH (pages_per_range = 32)"


def sqlite_in_key_order(schema_editor):
    with schema_editor.connection.cursor() as cursor:
        cursor.execute(
            "SELECT sql FROM sqlite_master WHERE type = 'table' AND name = 'husbandry_reading'"
        )
        (made_by,) = cursor.fetchone()
    schema_editor.execute(
        "ALTER TABLE husbandry_reading RENAME TO husbandry_reading_old"
    )
    schema_editor.execute(f"{made_by} WITHOUT ROWID")
    schema_editor.execute(
        "INSERT INTO husbandry_reading SELECT * FROM husbandry_reading_old"
    )
    schema_editor.execute("DROP TABLE husbandry_reading_old")


def store(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(BRIN)
    else:
        sqlite_in_key_order(schema_editor)


def undo(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP INDEX husbandry_reading_at_brin")


class Migration(migrations.Migration):
    dependencies = [("husbandry", "0002_stay_overlaps")]
    operations = [migrations.RunPython(store, undo)]
