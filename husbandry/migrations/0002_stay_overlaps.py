"""Hold in both databases: one enclosure at a time, and no sharing without places."""

from django.db import migrations

# int4range(place, place, '[]') of an empty place is unbounded: the whole enclosure.
# Ranges on both sides need no contrib extension.
POSTGRES = """
ALTER TABLE husbandry_stay ADD CONSTRAINT husbandry_stay_animal_in_one_place
    EXCLUDE USING gist (
        int8range(animal_id, animal_id, '[]') WITH &&,
        tstzrange(from_at, until_at) WITH &&
    );
ALTER TABLE husbandry_stay ADD CONSTRAINT husbandry_stay_enclosure_not_shared
    EXCLUDE USING gist (
        int8range(enclosure_id, enclosure_id, '[]') WITH &&,
        int4range(place::int4, place::int4, '[]') WITH &&,
        tstzrange(from_at, until_at) WITH &&
    );
"""
POSTGRES_BACK = """
ALTER TABLE husbandry_stay DROP CONSTRAINT husbandry_stay_animal_in_one_place;
ALTER TABLE husbandry_stay DROP CONSTRAINT husbandry_stay_enclosure_not_shared;
"""
# Django writes every instant in one format on SQLite, so text compares as time.
OVERLAPS = """
    s.id IS NOT NEW.id
    AND (s.until_at IS NULL OR s.until_at > NEW.from_at)
    AND (NEW.until_at IS NULL OR NEW.until_at > s.from_at)
"""
SQLITE = """
CREATE TRIGGER husbandry_stay_{event}_overlap BEFORE {event} ON husbandry_stay
BEGIN
    SELECT RAISE(ABORT, 'husbandry_stay_animal_in_one_place') WHERE EXISTS (
        SELECT 1 FROM husbandry_stay s
        WHERE s.animal_id = NEW.animal_id AND {overlaps});
    SELECT RAISE(ABORT, 'husbandry_stay_enclosure_not_shared') WHERE EXISTS (
        SELECT 1 FROM husbandry_stay s
        WHERE s.enclosure_id = NEW.enclosure_id
          AND (s.place IS NULL OR NEW.place IS NULL OR s.place = NEW.place)
          AND {overlaps});
END
"""


def hold(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRES)
        return
    for event in ("INSERT", "UPDATE"):
        schema_editor.execute(SQLITE.format(event=event, overlaps=OVERLAPS))


def loosen(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRES_BACK)
        return
    for event in ("INSERT", "UPDATE"):
        schema_editor.execute(f"DROP TRIGGER husbandry_stay_{event}_overlap")


class Migration(migrations.Migration):
    dependencies = [("husbandry", "0001_first")]
    operations = [migrations.RunPython(hold, loosen)]
