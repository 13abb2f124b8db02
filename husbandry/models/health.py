"""What a licensed vet prescribed, what was given, what tests said, how animals died.

Nothing here is a diagnosis, and no dose is this program's: it computes on what a vet
wrote down.
"""

from django.db import models
from django.db.models import F, Q

from core.choices import choices
from husbandry.models.records import CareRecord
from husbandry.rules.vocabulary import (
    DoseOutcome,
    DoseUnit,
    HealthTestKind,
    HealthTestResult,
    Route,
)


class Prescription(models.Model):
    """A medicine or fluid for one animal, as a licensed vet prescribed it."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="prescriptions"
    )
    drug = models.CharField(max_length=120, help_text="As the vet wrote it.")
    dose_per_kg = models.DecimalField(
        max_digits=10, decimal_places=4, help_text="In the unit beside it, by kilogram."
    )
    dose_unit = models.CharField(max_length=10, choices=choices(DoseUnit))
    concentration_mg_per_ml = models.DecimalField(
        max_digits=10,
        decimal_places=4,
        null=True,
        blank=True,
        help_text="Of what is drawn up, as it is used, after any dilution; mg/kg only.",
    )
    route = models.CharField(max_length=20, choices=choices(Route))
    every_hours = models.PositiveSmallIntegerField(help_text="From dose to dose.")
    first_at = models.DateTimeField(help_text="When the first dose is due.")
    until_on = models.DateField(help_text="Last local day on which a dose is due.")
    smallest_step_ml = models.DecimalField(
        max_digits=6,
        decimal_places=4,
        help_text="Smallest volume that the syringe in use can measure.",
    )
    reason = models.CharField(
        max_length=300, blank=True, help_text="In the vet's words."
    )
    vet = models.CharField(
        max_length=160, help_text="Licensed vet who prescribed it, with practice."
    )
    prescribed_on = models.DateField()
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()
    stopped_at = models.DateTimeField(null=True, blank=True)
    stopped_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    stopped_reason = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["animal", "-first_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    dose_per_kg__gt=0, every_hours__gt=0, smallest_step_ml__gt=0
                ),
                name="husbandry_prescription_amounts_positive",
            ),
            models.CheckConstraint(
                condition=Q(
                    dose_unit="mg_per_kg",
                    concentration_mg_per_ml__isnull=False,
                    concentration_mg_per_ml__gt=0,
                )
                | Q(dose_unit="ml_per_kg", concentration_mg_per_ml__isnull=True),
                name="husbandry_prescription_concentration",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.drug}"


class Dose(CareRecord):
    """What became of one dose that was due."""

    prescription = models.ForeignKey(
        Prescription, on_delete=models.PROTECT, related_name="doses"
    )
    due_at = models.DateTimeField(help_text="The due dose that it stands for.")
    outcome = models.CharField(max_length=10, choices=choices(DoseOutcome))
    volume_ml = models.DecimalField(
        max_digits=9, decimal_places=4, null=True, blank=True, help_text="As given."
    )
    computed_ml = models.DecimalField(
        max_digits=9,
        decimal_places=4,
        null=True,
        blank=True,
        help_text="As computed from the weighing, unrounded but for storage.",
    )
    weighing = models.ForeignKey(
        "husbandry.Weighing",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        help_text="The weighing that it was computed from.",
    )

    class Meta(CareRecord.Meta):
        ordering = ["prescription", "due_at"]
        constraints = [
            *CareRecord.Meta.constraints,
            models.CheckConstraint(
                condition=Q(
                    outcome="given",
                    volume_ml__isnull=False,
                    volume_ml__gt=0,
                    weighing__isnull=False,
                )
                | Q(outcome="not_given", volume_ml__isnull=True) & ~Q(note=""),
                name="husbandry_dose_given_or_why_not",
            ),
            models.UniqueConstraint(
                fields=["prescription", "due_at"],
                condition=Q(struck_at__isnull=True),
                name="husbandry_dose_once",
            ),
        ]

    def __str__(self) -> str:
        return (
            f"{self.prescription} due {self.due_at:%Y-%m-%d %H:%M %Z}: {self.outcome}"
        )


class HealthTest(models.Model):
    """A sample or picture that was taken, and what a laboratory or vet said of it."""

    animal = models.ForeignKey(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="health_tests"
    )
    kind = models.CharField(max_length=10, choices=choices(HealthTestKind))
    taken_on = models.DateField()
    laboratory = models.CharField(max_length=160, blank=True)
    expected_on = models.DateField(
        null=True, blank=True, help_text="Day by which the result should be there."
    )
    result = models.CharField(
        max_length=15,
        choices=choices(HealthTestResult),
        default=HealthTestResult.AWAITED.value,
    )
    result_on = models.DateField(null=True, blank=True)
    finding = models.TextField(
        blank=True, help_text="In the laboratory's or vet's words."
    )
    seen_by_vet_on = models.DateField(
        null=True, blank=True, help_text="Day a licensed vet took over what was found."
    )
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["animal", "-taken_on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(result="awaited", result_on__isnull=True)
                | ~Q(result="awaited")
                & Q(result_on__isnull=False, result_on__gte=F("taken_on")),
                name="husbandry_healthtest_result_with_day",
            ),
            models.CheckConstraint(
                condition=~Q(result="found") | ~Q(finding=""),
                name="husbandry_healthtest_finding_in_words",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal}: {self.kind} test of {self.taken_on}"


class Death(models.Model):
    """How an animal died; what a necropsy said may come later."""

    animal = models.OneToOneField(
        "husbandry.Animal", on_delete=models.PROTECT, related_name="death"
    )
    on = models.DateField(help_text="Local day of death, or of being found dead.")
    circumstances = models.TextField()
    euthanised_by = models.CharField(
        max_length=160, blank=True, help_text="Licensed vet, where it was put to sleep."
    )
    necropsy_on = models.DateField(null=True, blank=True)
    necropsy_by = models.CharField(max_length=160, blank=True)
    necropsy = models.TextField(blank=True, help_text="In the vet's words.")
    recorded_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    recorded_at = models.DateTimeField()

    class Meta:
        ordering = ["-on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(necropsy_on__isnull=True, necropsy="", necropsy_by="")
                | Q(necropsy_on__isnull=False, necropsy_on__gte=F("on"))
                & ~Q(necropsy=""),
                name="husbandry_death_necropsy_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.animal} on {self.on}"
