"""People, tokens, the audit trail, and where things stand."""

from django.contrib.auth.models import AbstractUser
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

from core.choices import choices
from core.notice_models import Attempt, Delivery, Notice, Webhook
from core.roles import Permission, Role, TokenScope, holds, lets_through
from core.units import MassUnit, TemperatureUnit
from core.zones import check_zone

__all__ = [
    "ApiToken",
    "Attempt",
    "AuditEntry",
    "CalendarAddress",
    "Delivery",
    "KeptAnswer",
    "Key",
    "Notice",
    "Organisation",
    "Room",
    "Site",
    "User",
    "Webhook",
]


class Organisation(models.Model):
    """Whose installation this is; one row, and never another."""

    id = models.PositiveSmallIntegerField(primary_key=True, default=1, editable=False)
    name = models.CharField(max_length=120)
    contact = models.TextField(
        blank=True, help_text="Address, telephone, e-mail: printed on every packet."
    )

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(id=1), name="core_organisation_only_one"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class User(AbstractUser):
    """A person who signs in, or on whose behalf a script does."""

    role = models.CharField(
        max_length=30, choices=choices(Role), default=Role.VIEWER.value
    )
    temperature_unit = models.CharField(
        max_length=1, choices=choices(TemperatureUnit), default=TemperatureUnit.C.value
    )
    mass_unit = models.CharField(
        max_length=2, choices=choices(MassUnit), default=MassUnit.G.value
    )

    # Not stored: the token through which this very instance was reached, if any.
    token: "ApiToken | None" = None

    def may(self, permission: Permission) -> bool:
        """Say whether this person, if active, holds a permission.

        One who is reached through a token may what role and scope both let through.
        """
        if not self.is_active or not holds(self.role, permission):
            return False
        return self.token is None or lets_through(self.token.scope, permission)

    @property
    def permissions(self) -> frozenset[Permission]:
        """Return all that this person may do, here and now."""
        return frozenset(p for p in Permission if self.may(p))

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Key(models.Model):
    """What every kind of key has: only its digest is kept, so it is shown once."""

    prefix = models.CharField(max_length=12, unique=True)
    digest = models.CharField(max_length=64, help_text="SHA-256 of the secret.")
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True


class ApiToken(Key):
    """A script's key: only its digest is kept, so it is shown once."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=80, help_text="What uses it.")
    scope = models.CharField(
        max_length=10,
        choices=choices(TokenScope),
        default=TokenScope.READ.value,
        help_text="How much of what its person may do it lets through.",
    )
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField(
        null=True, blank=True, help_text="Empty: until it is revoked."
    )

    def __str__(self) -> str:
        return f"{self.name} ({self.prefix}…)"


class CalendarAddress(Key):
    """A person's secret address of a calendar feed: reads it, and nothing else.

    Like a token's, only its digest is kept, so the address is shown once.
    """

    user = models.ForeignKey(
        User, on_delete=models.CASCADE, related_name="calendar_addresses"
    )
    name = models.CharField(max_length=80, help_text="What reads it.")
    created_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "calendar addresses"

    def __str__(self) -> str:
        return f"{self.name} ({self.prefix}…)"


class KeptAnswer(models.Model):
    """What was answered to a request with a key, for when it is sent again (ADR 0020).

    Claimed before the request is carried out, filled in the same transaction; gone
    after a day.
    """

    user = models.ForeignKey(
        User, on_delete=models.CASCADE, related_name="+", help_text="Who asked."
    )
    caller = models.CharField(
        max_length=40, help_text="By which token, or signed in by hand."
    )
    key = models.CharField(max_length=255, help_text="As the caller made it up.")
    request = models.CharField(
        max_length=64, help_text="HMAC of method, address and body."
    )
    role = models.CharField(max_length=30, help_text="Of the person at that time.")
    at = models.DateTimeField(db_index=True, help_text="When it was claimed.")
    status = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="HTTP status; empty: not answered yet."
    )
    headers = models.JSONField(default=dict, blank=True)
    body = models.BinaryField(blank=True)
    withheld = models.BooleanField(
        default=False,
        help_text="The body is not kept: it showed a secret or personal data.",
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user", "caller", "key"], name="core_keptanswer_key_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.caller}: {self.key}"


class AuditEntry(models.Model):
    """Who did what to what, when, and what changed. Never altered."""

    at = models.DateTimeField(db_index=True)
    by = models.ForeignKey(
        User,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: the program itself, at night or at set-up.",
    )
    verb = models.CharField(max_length=60, help_text="The action's name.")
    subject = models.CharField(max_length=60, help_text="Kind of record, as app.model.")
    subject_id = models.CharField(max_length=60)
    before = models.JSONField(default=dict, blank=True)
    after = models.JSONField(default=dict, blank=True)
    reason = models.TextField(blank=True)

    class Meta:
        verbose_name_plural = "audit entries"
        indexes = [
            # Read by: everything that happened to one record.
            models.Index(
                fields=["subject", "subject_id", "at"], name="core_audit_subject"
            ),
            # Read by: the trail as a whole, the newest first.
            models.Index(fields=["at"], name="core_audit_at"),
        ]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.verb} {self.subject} {self.subject_id}"


class Site(models.Model):
    """A place with its own clock and its own sun."""

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    time_zone = models.CharField(
        max_length=60,
        validators=[check_zone],
        help_text="IANA name, for example Europe/Lisbon.",
    )
    latitude_deg = models.FloatField(
        validators=[MinValueValidator(-90), MaxValueValidator(90)],
        help_text="Degrees, north positive.",
    )
    longitude_deg = models.FloatField(
        validators=[MinValueValidator(-180), MaxValueValidator(180)],
        help_text="Degrees, east positive.",
    )

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(
                condition=Q(latitude_deg__gte=-90, latitude_deg__lte=90),
                name="core_site_latitude_on_earth",
            ),
            models.CheckConstraint(
                condition=Q(longitude_deg__gte=-180, longitude_deg__lte=180),
                name="core_site_longitude_on_earth",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Room(models.Model):
    """A room of a site; enclosures stand in it in walking order."""

    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="rooms")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField(
        default=0, help_text="Order in which the rooms are walked."
    )
    quarantine = models.BooleanField(
        default=False,
        help_text="Animals here are kept apart: walked last, with tools of their own.",
    )

    class Meta:
        ordering = ["site", "position", "code"]
        constraints = [
            models.UniqueConstraint(
                fields=["site", "code"], name="core_room_code_once_per_site"
            ),
        ]

    def __str__(self) -> str:
        return self.name
