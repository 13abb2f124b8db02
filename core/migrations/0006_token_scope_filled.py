"""Fill: tokens that were issued without a scope go on doing what they did."""

from django.db import migrations


def fill(apps, schema_editor):
    tokens = apps.get_model("core", "ApiToken").objects
    # One row a script: far from needing batches.
    tokens.filter(scope__isnull=True).update(scope="manage")


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0005_token_scope"),
    ]

    # Backwards nothing is to be done: the column goes with the migration before.
    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
