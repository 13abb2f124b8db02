"""Hold in the database that a line of the register is never altered or removed."""

from django.db import migrations

# The function is core's, which guards the audit trail by it.
POSTGRES = """
CREATE TRIGGER placements_registerentry_append_only
    BEFORE UPDATE OR DELETE ON placements_registerentry
    FOR EACH ROW EXECUTE FUNCTION core_refuse_change();
"""
POSTGRES_BACK = """
DROP TRIGGER placements_registerentry_append_only ON placements_registerentry;
"""
SQLITE_NO_UPDATE = """
CREATE TRIGGER placements_registerentry_no_update
BEFORE UPDATE ON placements_registerentry
BEGIN SELECT RAISE(ABORT, 'placements_registerentry is append-only: UPDATE refused'); END
"""
SQLITE_NO_DELETE = """
CREATE TRIGGER placements_registerentry_no_delete
BEFORE DELETE ON placements_registerentry
BEGIN SELECT RAISE(ABORT, 'placements_registerentry is append-only: DELETE refused'); END
"""


def guard(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRES)
    else:
        schema_editor.execute(SQLITE_NO_UPDATE)
        schema_editor.execute(SQLITE_NO_DELETE)


def unguard(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRES_BACK)
    else:
        schema_editor.execute("DROP TRIGGER placements_registerentry_no_update")
        schema_editor.execute("DROP TRIGGER placements_registerentry_no_delete")


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0002_audit_append_only"),
        ("placements", "0002_rescue"),
    ]
    operations = [migrations.RunPython(guard, unguard)]
