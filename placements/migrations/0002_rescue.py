import core.zones
import django.core.serializers.json
import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0003_quarantine_rooms_and_calendars"),
        ("core", "__first__"),
        ("husbandry", "0007_coming_again_and_quarantine"),
        ("placements", "0001_first"),
    ]

    operations = [
        migrations.CreateModel(
            name="AnimalPaper",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("cites_permit", "cites permit"),
                            ("cites_certificate", "cites certificate"),
                            ("origin_statement", "origin statement"),
                            ("keeping_permit", "keeping permit"),
                            ("trade_licence", "trade licence"),
                            ("release_permit", "release permit"),
                            ("vet_certificate", "vet certificate"),
                            ("ownership", "ownership"),
                            ("other", "other"),
                        ],
                        max_length=18,
                    ),
                ),
                (
                    "number",
                    models.CharField(help_text="As printed on it.", max_length=60),
                ),
                (
                    "cites_source",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("W", "W"),
                            ("R", "R"),
                            ("D", "D"),
                            ("A", "A"),
                            ("C", "C"),
                            ("F", "F"),
                            ("U", "U"),
                            ("I", "I"),
                            ("O", "O"),
                            ("X", "X"),
                            ("Y", "Y"),
                        ],
                        max_length=1,
                    ),
                ),
                ("issued_by", models.CharField(max_length=160)),
                ("issued_on", models.DateField(blank=True, null=True)),
                (
                    "valid_until",
                    models.DateField(
                        blank=True,
                        help_text="Last day; empty: it does not end.",
                        null=True,
                    ),
                ),
                ("photo", models.FileField(blank=True, upload_to="papers")),
                ("note", models.TextField(blank=True)),
                ("recorded_at", models.DateTimeField()),
                ("withdrawn_at", models.DateTimeField(blank=True, null=True)),
                ("withdrawn_reason", models.CharField(blank=True, max_length=200)),
                (
                    "animal",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.animal",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "species",
                    models.ForeignKey(
                        blank=True,
                        help_text="A permit for keeping or releasing a species at all.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.species",
                    ),
                ),
                (
                    "withdrawn_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["animal", "species", "kind", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("animal__isnull", False), ("species__isnull", True)
                            ),
                            models.Q(
                                ("animal__isnull", True), ("species__isnull", False)
                            ),
                            _connector="OR",
                        ),
                        name="placements_animalpaper_of_one",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("issued_on__isnull", True),
                            ("valid_until__isnull", True),
                            ("valid_until__gte", models.F("issued_on")),
                            _connector="OR",
                        ),
                        name="placements_animalpaper_in_order",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("withdrawn_at__isnull", True),
                            models.Q(("withdrawn_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="placements_animalpaper_withdrawn_with_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Application",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("adoption", "adoption"),
                            ("sale", "sale"),
                            ("transfer", "transfer"),
                            ("loan", "loan"),
                            ("foster", "foster"),
                            ("release", "release"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("received", "received"),
                            ("checking", "checking"),
                            ("accepted", "accepted"),
                            ("waiting", "waiting"),
                            ("placed", "placed"),
                            ("declined", "declined"),
                            ("withdrawn", "withdrawn"),
                        ],
                        default="received",
                        max_length=12,
                    ),
                ),
                ("received_at", models.DateTimeField()),
                (
                    "question_set",
                    models.PositiveSmallIntegerField(
                        help_text="Version of the questions that were answered."
                    ),
                ),
                (
                    "answers",
                    models.JSONField(
                        default=dict,
                        encoder=django.core.serializers.json.DjangoJSONEncoder,
                        help_text="By question; personal data.",
                    ),
                ),
                ("decided_at", models.DateTimeField(blank=True, null=True)),
                (
                    "told",
                    models.TextField(
                        blank=True,
                        help_text="What the home is told on its private page.",
                    ),
                ),
                (
                    "waiting_since",
                    models.DateField(
                        blank=True,
                        help_text="On the waiting list since this day.",
                        null=True,
                    ),
                ),
                (
                    "animal",
                    models.ForeignKey(
                        blank=True,
                        help_text="A certain animal, if it was asked for.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.animal",
                    ),
                ),
                (
                    "decided_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "home",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="applications",
                        to="placements.home",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty: it came by the public form.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "species",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.species",
                    ),
                ),
            ],
            options={
                "ordering": ["received_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("state", "waiting"), ("waiting_since__isnull", False)
                            ),
                            models.Q(("state", "waiting"), _negated=True),
                            _connector="OR",
                        ),
                        name="placements_application_waiting_since_a_day",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("species__isnull", False),
                            ("animal__isnull", False),
                            _connector="OR",
                        ),
                        name="placements_application_for_something",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Arrival",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("surrender", "surrender"),
                            ("stray", "stray"),
                            ("seizure", "seizure"),
                            ("transfer_in", "transfer in"),
                            ("bought", "bought"),
                            ("lent_to_us", "lent to us"),
                            ("return", "return"),
                            ("born_here", "born here"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "found_at",
                    models.CharField(
                        blank=True, help_text="Where a stray was found.", max_length=200
                    ),
                ),
                ("arrived_at", models.DateTimeField()),
                (
                    "hold_until",
                    models.DateField(
                        blank=True,
                        help_text="Last day on which it may not leave; local law decides.",
                        null=True,
                    ),
                ),
                ("hold_reason", models.CharField(blank=True, max_length=200)),
                (
                    "came_with",
                    models.TextField(
                        blank=True, help_text="What came with the animals."
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "home",
                    models.ForeignKey(
                        blank=True,
                        help_text="From whom; empty: nobody is known, as of a stray.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="arrivals",
                        to="placements.home",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "site",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="core.site",
                    ),
                ),
            ],
            options={
                "ordering": ["-arrived_at", "-pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hold_until__isnull", True),
                            models.Q(("hold_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="placements_arrival_hold_with_reason",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Clearance",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("on", models.DateField()),
                (
                    "criteria",
                    models.JSONField(
                        encoder=django.core.serializers.json.DjangoJSONEncoder,
                        help_text="Each criterion with its evidence, as it was.",
                    ),
                ),
                (
                    "despite",
                    models.TextField(
                        blank=True,
                        help_text="Why it ended although a criterion was not met.",
                    ),
                ),
                ("cleared_at", models.DateTimeField()),
                (
                    "cleared_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "quarantine",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.quarantine",
                    ),
                ),
            ],
            options={
                "ordering": ["-cleared_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="FollowUp",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("two_weeks", "two weeks"),
                            ("three_months", "three months"),
                            ("twelve_months", "twelve months"),
                        ],
                        max_length=14,
                    ),
                ),
                ("due_on", models.DateField()),
                ("answered_at", models.DateTimeField(blank=True, null=True)),
                (
                    "answers",
                    models.JSONField(
                        blank=True,
                        default=dict,
                        encoder=django.core.serializers.json.DjangoJSONEncoder,
                    ),
                ),
                ("dropped_at", models.DateTimeField(blank=True, null=True)),
                ("dropped_reason", models.CharField(blank=True, max_length=200)),
                (
                    "placement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="follow_ups",
                        to="placements.placement",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty: the home itself, on its private page.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["due_on", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("placement", "kind"), name="placements_followup_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("dropped_at__isnull", True),
                            models.Q(("dropped_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="placements_followup_dropped_with_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="GateOpening",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "gate",
                    models.CharField(
                        choices=[
                            ("quarantine_over", "quarantine over"),
                            ("nothing_urgent", "nothing urgent"),
                            ("sex_checked", "sex checked"),
                            ("treatment_handed_over", "treatment handed over"),
                            ("old_enough", "old enough"),
                            ("heavy_enough", "heavy enough"),
                            ("hold_over", "hold over"),
                            ("papers_there", "papers there"),
                            ("application_accepted", "application accepted"),
                            ("home_ready", "home ready"),
                            ("packet_made", "packet made"),
                            ("native_species", "native species"),
                            ("release_permitted", "release permitted"),
                        ],
                        max_length=24,
                    ),
                ),
                (
                    "why_shut",
                    models.TextField(
                        help_text="What the gate said when it was opened."
                    ),
                ),
                ("reason", models.TextField()),
                ("opened_at", models.DateTimeField()),
                ("shut_again_at", models.DateTimeField(blank=True, null=True)),
                (
                    "opened_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "placement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="gate_openings",
                        to="placements.placement",
                    ),
                ),
                (
                    "shut_again_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["placement", "opened_at"],
                "constraints": [
                    models.UniqueConstraint(
                        condition=models.Q(("shut_again_at__isnull", True)),
                        fields=("placement", "gate"),
                        name="placements_gateopening_one_in_force",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="HoldPolicy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "source",
                    models.CharField(
                        choices=[
                            ("surrender", "surrender"),
                            ("stray", "stray"),
                            ("seizure", "seizure"),
                            ("transfer_in", "transfer in"),
                            ("bought", "bought"),
                            ("lent_to_us", "lent to us"),
                            ("return", "return"),
                            ("born_here", "born here"),
                        ],
                        max_length=12,
                    ),
                ),
                ("days", models.PositiveSmallIntegerField(help_text="0: no hold.")),
                (
                    "reason",
                    models.TextField(help_text="Which law or decision it follows."),
                ),
                ("made_at", models.DateTimeField()),
                (
                    "made_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "hold policies",
                "ordering": ["source", "-made_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="HomeEnclosure",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "label",
                    models.CharField(help_text="As the home calls it.", max_length=60),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("screen", "screen"),
                            ("part_solid", "part solid"),
                            ("glass", "glass"),
                            ("tub", "tub"),
                            ("incubator", "incubator"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "width_cm",
                    models.DecimalField(
                        decimal_places=1,
                        max_digits=6,
                        validators=[django.core.validators.MinValueValidator(1)],
                    ),
                ),
                (
                    "depth_cm",
                    models.DecimalField(
                        decimal_places=1,
                        max_digits=6,
                        validators=[django.core.validators.MinValueValidator(1)],
                    ),
                ),
                (
                    "height_cm",
                    models.DecimalField(
                        decimal_places=1,
                        max_digits=6,
                        validators=[django.core.validators.MinValueValidator(1)],
                    ),
                ),
                (
                    "time_zone",
                    models.CharField(max_length=60, validators=[core.zones.check_zone]),
                ),
                ("lights_on", models.TimeField(help_text="Local time.")),
                ("lights_off", models.TimeField(help_text="Local time.")),
                (
                    "uvb_lamp",
                    models.CharField(
                        choices=[
                            ("linear_t5", "linear t5"),
                            ("linear_t8", "linear t8"),
                            ("compact", "compact"),
                            ("other", "other"),
                            ("none", "none"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "uvb_percent",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="Share of UVB that is printed on the lamp, percent.",
                        max_digits=4,
                        null=True,
                    ),
                ),
                (
                    "uvb_distance_cm",
                    models.DecimalField(
                        blank=True,
                        decimal_places=1,
                        help_text="From the lamp to the highest perch.",
                        max_digits=5,
                        null=True,
                    ),
                ),
                (
                    "uvb_through_screen",
                    models.BooleanField(
                        default=False, help_text="The lamp shines through a screen."
                    ),
                ),
                ("laying_bin", models.BooleanField(default=False)),
                (
                    "other_animals",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="Animals that live in it already."
                    ),
                ),
                (
                    "sees_others",
                    models.BooleanField(
                        blank=True,
                        help_text="Another of its kind can be seen from inside; empty: not said.",
                        null=True,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "home",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="enclosures",
                        to="placements.home",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty: the home itself, on its private page.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["home", "recorded_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("depth_cm__gt", 0),
                            ("height_cm__gt", 0),
                            ("width_cm__gt", 0),
                        ),
                        name="placements_homeenclosure_has_size",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("lights_off__gt", models.F("lights_on"))),
                        name="placements_homeenclosure_lights_in_order",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="HomeReport",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("weight", "weight"),
                            ("eggs", "eggs"),
                            ("health", "health"),
                            ("death", "death"),
                            ("note", "note"),
                        ],
                        max_length=8,
                    ),
                ),
                ("on", models.DateField(help_text="Day it is about.")),
                (
                    "mass_g",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=8, null=True
                    ),
                ),
                ("eggs", models.PositiveSmallIntegerField(blank=True, null=True)),
                ("note", models.TextField(blank=True)),
                ("received_at", models.DateTimeField()),
                ("seen_at", models.DateTimeField(blank=True, null=True)),
                (
                    "placement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reports",
                        to="placements.placement",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "seen_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["placement", "on", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("kind", "weight"),
                                ("mass_g__gt", 0),
                                ("mass_g__isnull", False),
                            ),
                            models.Q(
                                models.Q(("kind", "weight"), _negated=True),
                                ("mass_g__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="placements_homereport_weight_with_mass",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("eggs__isnull", False), ("kind", "eggs")),
                            models.Q(
                                models.Q(("kind", "eggs"), _negated=True),
                                ("eggs__isnull", True),
                            ),
                            _connector="OR",
                        ),
                        name="placements_homereport_eggs_counted",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PacketJob",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "batch",
                    models.CharField(
                        db_index=True,
                        help_text="Those asked for together.",
                        max_length=32,
                    ),
                ),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("waiting", "waiting"),
                            ("drawing", "drawing"),
                            ("done", "done"),
                            ("failed", "failed"),
                        ],
                        default="waiting",
                        max_length=8,
                    ),
                ),
                ("asked_at", models.DateTimeField()),
                ("started_at", models.DateTimeField(blank=True, null=True)),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                ("tries", models.PositiveSmallIntegerField(default=0)),
                ("file", models.FileField(blank=True, upload_to="packets")),
                ("problem", models.TextField(blank=True, help_text="Why it failed.")),
                (
                    "asked_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "packet",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="placements.packet",
                    ),
                ),
                (
                    "placement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="packet_jobs",
                        to="placements.placement",
                    ),
                ),
            ],
            options={
                "ordering": ["asked_at", "pk"],
                "indexes": [
                    models.Index(
                        fields=["state", "asked_at"], name="placements_packetjob_wait"
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="PersonalDataPolicy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "months_after_decline",
                    models.PositiveSmallIntegerField(
                        help_text="After an application was declined or withdrawn."
                    ),
                ),
                (
                    "months_after_last_placement",
                    models.PositiveSmallIntegerField(
                        help_text="After the last animal went there; local law may ask for more."
                    ),
                ),
                ("reason", models.TextField()),
                ("made_at", models.DateTimeField()),
                (
                    "made_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "personal data policies",
                "ordering": ["-made_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="PlacementPolicy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("adoption", "adoption"),
                            ("sale", "sale"),
                            ("transfer", "transfer"),
                            ("loan", "loan"),
                            ("foster", "foster"),
                            ("release", "release"),
                        ],
                        help_text="Empty: all kinds that have no policy of their own.",
                        max_length=12,
                    ),
                ),
                (
                    "least_age_days",
                    models.PositiveSmallIntegerField(
                        blank=True, help_text="Empty: not asked.", null=True
                    ),
                ),
                (
                    "least_mass_g",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=8, null=True
                    ),
                ),
                (
                    "sex",
                    models.CharField(
                        choices=[
                            ("not_needed", "not needed"),
                            ("likely", "likely"),
                            ("confirmed", "confirmed"),
                        ],
                        default="not_needed",
                        max_length=12,
                    ),
                ),
                (
                    "papers",
                    models.JSONField(
                        blank=True,
                        default=list,
                        help_text="Kinds of papers that have to be there.",
                    ),
                ),
                (
                    "application",
                    models.BooleanField(
                        default=False,
                        help_text="An accepted application has to be there.",
                    ),
                ),
                (
                    "home_ready",
                    models.BooleanField(
                        default=False,
                        help_text="The home's enclosure has to be as wanted.",
                    ),
                ),
                ("reason", models.TextField()),
                ("made_at", models.DateTimeField()),
                (
                    "made_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "species",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty: all that have no policy of their own.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.species",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "placement policies",
                "ordering": ["species", "kind", "-made_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="QuarantinePolicy",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "needed",
                    models.BooleanField(
                        default=True,
                        help_text="Newcomers are put into quarantine at all.",
                    ),
                ),
                (
                    "group",
                    models.CharField(
                        default="reptiles",
                        help_text="A newcomer of the same group in the same room restarts the clock.",
                        max_length=40,
                    ),
                ),
                (
                    "days",
                    models.PositiveSmallIntegerField(
                        help_text="At least so many days."
                    ),
                ),
                (
                    "tests",
                    models.PositiveSmallIntegerField(
                        default=0,
                        help_text="So many tests without findings, one after the other.",
                    ),
                ),
                (
                    "test_kind",
                    models.CharField(
                        choices=[
                            ("faecal", "faecal"),
                            ("blood", "blood"),
                            ("swab", "swab"),
                            ("imaging", "imaging"),
                            ("other", "other"),
                        ],
                        default="faecal",
                        max_length=10,
                    ),
                ),
                (
                    "tests_apart_days",
                    models.PositiveSmallIntegerField(
                        default=0, help_text="Days between them, at least."
                    ),
                ),
                (
                    "weight_days",
                    models.PositiveSmallIntegerField(
                        default=0,
                        help_text="So many days back the weight has to be steady; 0: not asked.",
                    ),
                ),
                (
                    "most_loss_pct",
                    models.DecimalField(
                        decimal_places=1,
                        default=0,
                        help_text="Loss over those days that is still steady, percent.",
                        max_digits=4,
                    ),
                ),
                ("reason", models.TextField()),
                ("made_at", models.DateTimeField()),
                (
                    "made_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "species",
                    models.ForeignKey(
                        blank=True,
                        help_text="Empty: all that have no policy of their own.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.species",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "quarantine policies",
                "ordering": ["species", "-made_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="TreatmentHandover",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("plan", models.TextField(help_text="In the licensed vet's words.")),
                ("handed_over_at", models.DateTimeField()),
                (
                    "handed_over_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "placement",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="treatment_handovers",
                        to="placements.placement",
                    ),
                ),
                (
                    "prescription",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.prescription",
                    ),
                ),
            ],
            options={
                "ordering": ["placement", "handed_over_at"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("placement", "prescription"),
                        name="placements_treatmenthandover_once",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ApplicationCheck",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("references", "references"),
                            ("landlord", "landlord"),
                            ("other_animals", "other animals"),
                            ("people_at_risk", "people at risk"),
                            ("vet_nearby", "vet nearby"),
                            ("local_law", "local law"),
                            ("home_ready", "home ready"),
                        ],
                        max_length=16,
                    ),
                ),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("open", "open"),
                            ("passed", "passed"),
                            ("failed", "failed"),
                            ("not_needed", "not needed"),
                        ],
                        max_length=12,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "application",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="checks",
                        to="placements.application",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["application", "recorded_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="HomeReading",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "zone",
                    models.CharField(
                        choices=[
                            ("basking", "basking"),
                            ("ambient", "ambient"),
                            ("cool", "cool"),
                            ("eggs", "eggs"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "quantity",
                    models.CharField(
                        choices=[
                            ("temperature_c", "temperature c"),
                            ("humidity_pct", "humidity pct"),
                            ("uv_index", "uv index"),
                        ],
                        max_length=20,
                    ),
                ),
                ("at", models.DateTimeField()),
                (
                    "value_milli",
                    models.IntegerField(help_text="In thousandths of the unit."),
                ),
                (
                    "file_name",
                    models.CharField(
                        blank=True, help_text="Empty: it was typed.", max_length=120
                    ),
                ),
                ("recorded_at", models.DateTimeField()),
                (
                    "enclosure",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="readings",
                        to="placements.homeenclosure",
                    ),
                ),
            ],
            options={
                "ordering": ["enclosure", "zone", "quantity", "at"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("enclosure", "zone", "quantity", "at"),
                        name="placements_homereading_once",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Intake",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "species_told",
                    models.CharField(
                        blank=True, help_text="What it was said to be.", max_length=120
                    ),
                ),
                (
                    "species_sure",
                    models.BooleanField(
                        default=True,
                        help_text="Somebody who knows the species has looked.",
                    ),
                ),
                (
                    "condition",
                    models.CharField(
                        choices=[
                            ("healthy", "healthy"),
                            ("rehabilitatable", "rehabilitatable"),
                            ("manageable", "manageable"),
                            ("untreatable", "untreatable"),
                            ("not_judged", "not judged"),
                        ],
                        default="not_judged",
                        max_length=16,
                    ),
                ),
                (
                    "chip_scan",
                    models.CharField(
                        choices=[
                            ("read", "read"),
                            ("none_found", "none found"),
                            ("not_scanned", "not scanned"),
                        ],
                        default="not_scanned",
                        max_length=12,
                    ),
                ),
                ("came_with", models.TextField(blank=True)),
                ("note", models.TextField(blank=True)),
                (
                    "hold_ended_on",
                    models.DateField(
                        blank=True,
                        help_text="The hold was lifted before its day.",
                        null=True,
                    ),
                ),
                ("hold_ended_reason", models.CharField(blank=True, max_length=200)),
                (
                    "animal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.animal",
                    ),
                ),
                (
                    "arrival",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="intakes",
                        to="placements.arrival",
                    ),
                ),
                (
                    "hold_ended_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "returns",
                    models.OneToOneField(
                        blank=True,
                        help_text="The placement that it came back from.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="returned_by",
                        to="placements.placement",
                    ),
                ),
            ],
            options={
                "ordering": ["-arrival__arrived_at", "animal"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("arrival", "animal"), name="placements_intake_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("hold_ended_on__isnull", True),
                            models.Q(("hold_ended_reason", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="placements_intake_hold_ended_with_reason",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="PrivateAddress",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("prefix", models.CharField(max_length=12, unique=True)),
                (
                    "digest",
                    models.CharField(help_text="SHA-256 of the secret.", max_length=64),
                ),
                ("created_at", models.DateTimeField()),
                ("expires_at", models.DateTimeField()),
                ("revoked_at", models.DateTimeField(blank=True, null=True)),
                ("last_used_at", models.DateTimeField(blank=True, null=True)),
                (
                    "application",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="private_addresses",
                        to="placements.application",
                    ),
                ),
                (
                    "created_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "placement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="private_addresses",
                        to="placements.placement",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "private addresses",
                "ordering": ["-created_at", "pk"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(
                                ("application__isnull", False),
                                ("placement__isnull", True),
                            ),
                            models.Q(
                                ("application__isnull", True),
                                ("placement__isnull", False),
                            ),
                            _connector="OR",
                        ),
                        name="placements_privateaddress_of_one",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="ReadinessReview",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "sex",
                    models.CharField(
                        choices=[
                            ("female", "female"),
                            ("male", "male"),
                            ("unknown", "unknown"),
                        ],
                        max_length=10,
                    ),
                ),
                ("on", models.DateField(help_text="Day whose targets hold.")),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("as_wanted", "as wanted"),
                            ("not_as_wanted", "not as wanted"),
                            ("not_known", "not known"),
                        ],
                        max_length=14,
                    ),
                ),
                (
                    "result",
                    models.JSONField(
                        encoder=django.core.serializers.json.DjangoJSONEncoder,
                        help_text="Each matter with wanted, found and source.",
                    ),
                ),
                ("judged_at", models.DateTimeField()),
                (
                    "animal",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.animal",
                    ),
                ),
                (
                    "enclosure",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reviews",
                        to="placements.homeenclosure",
                    ),
                ),
                (
                    "judged_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "species",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.species",
                    ),
                ),
            ],
            options={
                "ordering": ["-judged_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="RegisterEntry",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("number", models.PositiveIntegerField(unique=True)),
                (
                    "on",
                    models.DateField(help_text="Local day on which it came or left."),
                ),
                (
                    "direction",
                    models.CharField(
                        choices=[("came", "came"), ("left", "left")], max_length=6
                    ),
                ),
                (
                    "how",
                    models.CharField(
                        choices=[
                            ("surrender", "surrender"),
                            ("stray", "stray"),
                            ("seizure", "seizure"),
                            ("transfer_in", "transfer in"),
                            ("bought", "bought"),
                            ("lent_to_us", "lent to us"),
                            ("return", "return"),
                            ("born_here", "born here"),
                            ("found_again", "found again"),
                            ("not_said", "not said"),
                            ("adoption", "adoption"),
                            ("sale", "sale"),
                            ("transfer", "transfer"),
                            ("loan", "loan"),
                            ("foster", "foster"),
                            ("release", "release"),
                            ("death", "death"),
                            ("put_to_sleep", "put to sleep"),
                            ("loss", "loss"),
                        ],
                        max_length=14,
                    ),
                ),
                ("animal_code", models.CharField(max_length=20)),
                ("scientific_name", models.CharField(max_length=120)),
                (
                    "facts",
                    models.JSONField(
                        default=dict,
                        encoder=django.core.serializers.json.DjangoJSONEncoder,
                        help_text="Sex, hatch date, chip, parents, papers and CITES source as of then.",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                ("entered_at", models.DateTimeField()),
                (
                    "animal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.animal",
                    ),
                ),
                (
                    "arrival",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="placements.arrival",
                    ),
                ),
                (
                    "corrects",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="placements.registerentry",
                    ),
                ),
                (
                    "entered_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "home",
                    models.ForeignKey(
                        blank=True,
                        help_text="From whom or to whom; names are not copied here.",
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="placements.home",
                    ),
                ),
                (
                    "placement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="placements.placement",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "register entries",
                "ordering": ["number"],
            },
        ),
        migrations.CreateModel(
            name="Exam",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("at", models.DateTimeField()),
                (
                    "examined_by",
                    models.CharField(help_text="Who looked.", max_length=160),
                ),
                ("note", models.TextField(blank=True)),
                ("recorded_at", models.DateTimeField()),
                (
                    "animal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="husbandry.animal",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "intake",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="exams",
                        to="placements.intake",
                    ),
                ),
            ],
            options={
                "ordering": ["animal", "-at"],
            },
        ),
        migrations.CreateModel(
            name="IntakePhoto",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("photo", models.FileField(upload_to="intakes")),
                ("caption", models.CharField(blank=True, max_length=200)),
                ("recorded_at", models.DateTimeField()),
                (
                    "intake",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="photos",
                        to="placements.intake",
                    ),
                ),
                (
                    "recorded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["intake", "pk"],
            },
        ),
        migrations.CreateModel(
            name="ExamLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                (
                    "system",
                    models.CharField(
                        choices=[
                            ("alertness", "alertness"),
                            ("body_condition", "body condition"),
                            ("skin", "skin"),
                            ("eyes", "eyes"),
                            ("mouth", "mouth"),
                            ("breathing", "breathing"),
                            ("limbs_and_spine", "limbs and spine"),
                            ("tail_and_toes", "tail and toes"),
                            ("belly", "belly"),
                            ("vent", "vent"),
                            ("parasites", "parasites"),
                        ],
                        max_length=16,
                    ),
                ),
                (
                    "outcome",
                    models.CharField(
                        choices=[
                            ("nothing_unusual", "nothing unusual"),
                            ("unusual", "unusual"),
                            ("not_looked_at", "not looked at"),
                        ],
                        max_length=16,
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "exam",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="placements.exam",
                    ),
                ),
            ],
            options={
                "ordering": ["exam", "pk"],
                "constraints": [
                    models.UniqueConstraint(
                        fields=("exam", "system"), name="placements_examline_once"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("outcome", "unusual"), _negated=True),
                            models.Q(("note", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="placements_examline_unusual_in_words",
                    ),
                ],
            },
        ),
        migrations.RemoveConstraint(
            model_name="placement",
            name="placements_placement_handed_over_with_date",
        ),
        migrations.AddField(
            model_name="home",
            name="created_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="home",
            name="email",
            field=models.EmailField(blank=True, max_length=254),
        ),
        migrations.AddField(
            model_name="home",
            name="erased_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="home",
            name="erased_by",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="home",
            name="keep_until",
            field=models.DateField(
                blank=True,
                help_text="Personal data are erased after this day; empty: as the policy says.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="home",
            name="kind",
            field=models.CharField(
                choices=[
                    ("household", "household"),
                    ("organisation", "organisation"),
                    ("authority", "authority"),
                ],
                default="household",
                max_length=14,
            ),
        ),
        migrations.AddField(
            model_name="home",
            name="language",
            field=models.CharField(
                default="en",
                help_text="Of its papers, as BCP 47 says it.",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="home",
            name="paper",
            field=models.CharField(
                choices=[("a4", "a4"), ("letter", "letter")], default="a4", max_length=8
            ),
        ),
        migrations.AddField(
            model_name="home",
            name="units",
            field=models.CharField(
                choices=[("metric", "metric"), ("imperial", "imperial")],
                default="metric",
                max_length=10,
            ),
        ),
        migrations.AddField(
            model_name="placement",
            name="due_back_on",
            field=models.DateField(
                blank=True, help_text="Of a loan or foster stay.", null=True
            ),
        ),
        migrations.AddField(
            model_name="placement",
            name="ended_on",
            field=models.DateField(
                blank=True,
                help_text="Day it came back, was made lasting, or died.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="placement",
            name="ended_reason",
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AddField(
            model_name="placement",
            name="follows",
            field=models.OneToOneField(
                blank=True,
                help_text="The foster stay or loan that this one makes lasting.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="followed_by",
                to="placements.placement",
            ),
        ),
        migrations.AddField(
            model_name="placement",
            name="release_place",
            field=models.CharField(
                blank=True, help_text="Of a release to the wild.", max_length=200
            ),
        ),
        migrations.AlterField(
            model_name="placement",
            name="home",
            field=models.ForeignKey(
                blank=True,
                help_text="Empty for a release to the wild.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="placements",
                to="placements.home",
            ),
        ),
        migrations.AlterField(
            model_name="placement",
            name="kind",
            field=models.CharField(
                choices=[
                    ("adoption", "adoption"),
                    ("sale", "sale"),
                    ("transfer", "transfer"),
                    ("loan", "loan"),
                    ("foster", "foster"),
                    ("release", "release"),
                ],
                max_length=12,
            ),
        ),
        migrations.AlterField(
            model_name="placement",
            name="state",
            field=models.CharField(
                choices=[
                    ("planned", "planned"),
                    ("handed_over", "handed over"),
                    ("called_off", "called off"),
                    ("came_back", "came back"),
                    ("made_lasting", "made lasting"),
                    ("died_there", "died there"),
                ],
                default="planned",
                max_length=12,
            ),
        ),
        migrations.AddConstraint(
            model_name="home",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("erased_at__isnull", True),
                    models.Q(("contact", ""), ("email", ""), ("notes", "")),
                    _connector="OR",
                ),
                name="placements_home_erased_is_empty",
            ),
        ),
        migrations.AddField(
            model_name="placement",
            name="application",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="placements",
                to="placements.application",
            ),
        ),
        migrations.AddField(
            model_name="placement",
            name="home_enclosure",
            field=models.ForeignKey(
                blank=True,
                help_text="Where it is to live.",
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="placements.homeenclosure",
            ),
        ),
        migrations.AddConstraint(
            model_name="placement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("handed_over_on__isnull", True),
                        ("state__in", ("planned", "called_off")),
                    ),
                    models.Q(
                        models.Q(
                            ("state__in", ("planned", "called_off")), _negated=True
                        ),
                        ("handed_over_on__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="placements_placement_handed_over_with_date",
            ),
        ),
        migrations.AddConstraint(
            model_name="placement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("ended_on__isnull", False),
                        ("state__in", ("came_back", "made_lasting", "died_there")),
                    ),
                    models.Q(
                        models.Q(
                            ("state__in", ("came_back", "made_lasting", "died_there")),
                            _negated=True,
                        ),
                        ("ended_on__isnull", True),
                    ),
                    _connector="OR",
                ),
                name="placements_placement_ended_with_date",
            ),
        ),
        migrations.AddConstraint(
            model_name="placement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("home__isnull", True),
                        ("kind", "release"),
                        models.Q(("release_place", ""), _negated=True),
                    ),
                    models.Q(
                        models.Q(("kind", "release"), _negated=True),
                        ("home__isnull", False),
                        ("release_place", ""),
                    ),
                    _connector="OR",
                ),
                name="placements_placement_to_a_home_or_released",
            ),
        ),
    ]
