"""Papers of animals and of keeping them, and what may leave with which of them."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models import F, Q

from core.choices import choices
from placements.models.homes import Home
from placements.rules.vocabulary import (
    CitesSource,
    Direction,
    PaperKind,
    PlacementKind,
    RegisterHow,
    SexNeed,
)


class AnimalPaper(models.Model):
    """A permit, certificate or statement about an animal, or about its species."""

    kind = models.CharField(max_length=18, choices=choices(PaperKind))
    animal = models.ForeignKey(
        "husbandry.Animal",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    species = models.ForeignKey(
        "husbandry.Species",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="A permit for keeping or releasing a species at all.",
    )
    number = models.CharField(max_length=60, help_text="As printed on it.")
    cites_source = models.CharField(
        max_length=1, choices=choices(CitesSource), blank=True
    )
    issued_by = models.CharField(max_length=160)
    issued_on = models.DateField(null=True, blank=True)
    valid_until = models.DateField(
        null=True, blank=True, help_text="Last day; empty: it does not end."
    )
    photo = models.FileField(upload_to="papers", blank=True)
    note = models.TextField(blank=True)
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    withdrawn_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["animal", "species", "kind", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(animal__isnull=False, species__isnull=True)
                | Q(animal__isnull=True, species__isnull=False),
                name="placements_animalpaper_of_one",
            ),
            models.CheckConstraint(
                condition=Q(issued_on__isnull=True)
                | Q(valid_until__isnull=True)
                | Q(valid_until__gte=F("issued_on")),
                name="placements_animalpaper_in_order",
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True) | ~Q(withdrawn_reason=""),
                name="placements_animalpaper_withdrawn_with_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"


class PlacementPolicy(models.Model):
    """What animals have to be and have before they leave; the newest row holds.

    Of the rows for a species and a kind, for a species, for a kind and for all, the
    first there is holds.
    """

    species = models.ForeignKey(
        "husbandry.Species",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="Empty: all that have no policy of their own.",
    )
    kind = models.CharField(
        max_length=12,
        choices=choices(PlacementKind),
        blank=True,
        help_text="Empty: all kinds that have no policy of their own.",
    )
    least_age_days = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Empty: not asked."
    )
    least_mass_g = models.DecimalField(
        max_digits=8, decimal_places=2, null=True, blank=True
    )
    sex = models.CharField(
        max_length=12, choices=choices(SexNeed), default=SexNeed.NOT_NEEDED.value
    )
    papers = models.JSONField(
        default=list, blank=True, help_text="Kinds of papers that have to be there."
    )
    application = models.BooleanField(
        default=False, help_text="An accepted application has to be there."
    )
    home_ready = models.BooleanField(
        default=False, help_text="The home's enclosure has to be as wanted."
    )
    reason = models.TextField()
    made_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["species", "kind", "-made_at", "-pk"]
        verbose_name_plural = "placement policies"

    def __str__(self) -> str:
        return f"{self.species or 'all species'}, {self.kind or 'all kinds'}"


class RegisterEntry(models.Model):
    """One line of the register: an animal came or left. Numbered without a gap.

    Append-only, by a trigger too. A wrong line is followed by one that corrects it.
    """

    number = models.PositiveIntegerField(unique=True)
    on = models.DateField(help_text="Local day on which it came or left.")
    direction = models.CharField(max_length=6, choices=choices(Direction))
    how = models.CharField(max_length=14, choices=choices(RegisterHow))
    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="+"
    )
    animal_code = models.CharField(max_length=20)
    scientific_name = models.CharField(max_length=120)
    home = models.ForeignKey(
        Home,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="From whom or to whom; names are not copied here.",
    )
    arrival = models.ForeignKey(
        "placements.Arrival",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    placement = models.ForeignKey(
        "placements.Placement",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
    )
    facts = models.JSONField(
        default=dict,
        encoder=DjangoJSONEncoder,
        help_text="Sex, hatch date, chip, parents, papers and CITES source as of then.",
    )
    corrects = models.OneToOneField(
        "self",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="corrected_by",
    )
    note = models.CharField(max_length=300, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "register entries"

    def __str__(self) -> str:
        return f"{self.number}: {self.animal_code} {self.direction} {self.on}"
