"""Hold in the database that an audit entry is never altered or removed."""

from django.db import migrations

POSTGRES = """
CREATE FUNCTION core_refuse_change() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only: % refused', TG_TABLE_NAME, TG_OP
        USING ERRCODE = 'integrity_constraint_violation';
END $$;
CREATE TRIGGER core_auditentry_append_only BEFORE UPDATE OR DELETE ON core_auditentry
    FOR EACH ROW EXECUTE FUNCTION core_refuse_change();
"""
POSTGRES_BACK = """
DROP TRIGGER core_auditentry_append_only ON core_auditentry;
DROP FUNCTION core_refuse_change();
"""
SQLITE_NO_UPDATE = """
CREATE TRIGGER core_auditentry_no_update BEFORE UPDATE ON core_auditentry
BEGIN SELECT RAISE(ABORT, 'core_auditentry is append-only: UPDATE refused'); END
"""
SQLITE_NO_DELETE = """
CREATE TRIGGER core_auditentry_no_delete BEFORE DELETE ON core_auditentry
BEGIN SELECT RAISE(ABORT, 'core_auditentry is append-only: DELETE refused'); END
"""


def guard(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRES, params=None)  # % is RAISE's
    else:
        schema_editor.execute(SQLITE_NO_UPDATE)
        schema_editor.execute(SQLITE_NO_DELETE)


def unguard(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRES_BACK)
    else:
        schema_editor.execute("DROP TRIGGER core_auditentry_no_update")
        schema_editor.execute("DROP TRIGGER core_auditentry_no_delete")


class Migration(migrations.Migration):
    dependencies = [("core", "0001_first")]
    operations = [migrations.RunPython(guard, unguard)]
