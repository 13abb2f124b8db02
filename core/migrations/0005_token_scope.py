"""Loosen: a token has a scope, which those issued before do not have yet."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0004_kept_answers"),
    ]

    operations = [
        migrations.AddField(
            model_name="apitoken",
            name="scope",
            field=models.CharField(
                choices=[
                    ("read", "read"),
                    ("record", "record"),
                    ("manage", "manage"),
                    ("ingest", "ingest"),
                ],
                help_text="How much of what its person may do it lets through.",
                max_length=10,
                null=True,
            ),
        ),
        migrations.AlterField(
            model_name="apitoken",
            name="expires_at",
            field=models.DateTimeField(
                blank=True, help_text="Empty: until it is revoked.", null=True
            ),
        ),
    ]
