"""Tighten: every token has a scope; a new one reads unless it is said otherwise."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0006_token_scope_filled"),
    ]

    operations = [
        migrations.AlterField(
            model_name="apitoken",
            name="scope",
            field=models.CharField(
                choices=[
                    ("read", "read"),
                    ("record", "record"),
                    ("manage", "manage"),
                    ("ingest", "ingest"),
                ],
                default="read",
                help_text="How much of what its person may do it lets through.",
                max_length=10,
            ),
        ),
    ]
