"""Doses: given, with the volume that was computed, or why not."""

from collections.abc import Sequence
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_entries import Struck
from api.care_filters import EntryFilter
from api.care_structs import LARGEST_ID, PEOPLE, EntryOut, Id, entry_values
from api.errors import RefusedError
from api.filters import CharFilter, WholeNumberFilter, WordFilter
from api.inputs import read_body, sent
from api.prescriptions import CAUTION
from api.structs import In, Instant, Ref, ref
from husbandry.actions.doses import give_dose, note_dose_not_given
from husbandry.models import Dose, Prescription
from husbandry.rules.health.cautions import DOSES
from husbandry.rules.vocabulary import DoseOutcome

NUMBER = Annotated[Id, Meta(description="Number of the prescription.")]
DUE = Annotated[Instant, Meta(description="The due dose that it stands for.")]


class DoseFilter(EntryFilter):
    """Which doses."""

    prescription = WholeNumberFilter(
        "prescription_id",
        least=0,
        most=LARGEST_ID,
        help_text="Number of the prescription.",
    )
    animal = CharFilter("prescription__animal__code", help_text="Code of the animal.")
    outcome = WordFilter(DoseOutcome)

    class Meta:
        model = Dose
        fields = [
            *("prescription", "animal", "outcome"),
            *("from_at", "until_at", "in_force"),
            *("recorded_from", "recorded_by"),
        ]


class GivenDoseIn(In, frozen=True, kw_only=True, tag_field="outcome", tag="given"):
    """That a due dose was given; its volume is computed, never typed."""

    prescription: NUMBER
    due_at: DUE
    given_at: Annotated[Instant | None, Meta(description="When; now unless given.")] = (
        None
    )
    note: Annotated[str, Meta(max_length=300)] = ""


class DoseNotGivenIn(
    In, frozen=True, kw_only=True, tag_field="outcome", tag="not_given"
):
    """That a due dose was not given."""

    prescription: NUMBER
    due_at: DUE
    why: Annotated[str, Meta(min_length=1, max_length=300, description="Why not.")]


SAID: Any = GivenDoseIn | DoseNotGivenIn
"""For mypy, no union is a type of which `read_body` returns a value."""


class DoseOut(EntryOut, frozen=True):
    """What became of one dose that was due."""

    about = Dose
    prescription: NUMBER
    animal: Ref | None
    drug: str
    due_at: Instant
    outcome: DoseOutcome
    volume_ml: Annotated[Decimal | None, Meta(description="As given, mL.")]
    computed_ml: Decimal | None
    weighing: Annotated[
        int | None,
        Meta(description="Number of the weighing that it was computed from."),
    ]
    caution: CAUTION


class Doses(Struck[Dose]):
    """The newest first; struck-out ones too, unless asked otherwise."""

    plural = "doses"
    filterset_class = DoseFilter
    takes = {**Struck.takes, "create": SAID}
    gives = {"create": {HTTPStatus.CREATED: DoseOut}}
    out = DoseOut
    searched = (
        "prescription__animal__code",
        "prescription__drug",
        "note",
        "struck_reason",
    )
    orderable = ("id", "at", "recorded_at")

    def get_queryset(self) -> QuerySet[Dose]:
        """Return all doses."""
        return Dose.objects.select_related("prescription__animal", *PEOPLE)

    def shown(self, rows: Sequence[Dose]) -> list[DoseOut]:
        """Return doses with their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Record that a due dose was given, or why not.

        The volume of one that was given is computed from the newest weighing; where
        it cannot be trusted it is refused with 409, and the sentence says what to do.
        Never double up after a missed dose. Recorded again, the same changes nothing.
        """
        given: GivenDoseIn | DoseNotGivenIn = read_body(sent(request), SAID)
        prescription, now = _prescription(given.prescription), timezone.now()
        if isinstance(given, GivenDoseIn):
            row = give_dose(
                prescription=prescription,
                due_at=given.due_at,
                given_at=given.given_at or now,
                by=self.person,
                recorded_at=now,
                note=given.note,
            )
        else:
            row = note_dose_not_given(
                prescription=prescription,
                due_at=given.due_at,
                why=given.why,
                by=self.person,
                recorded_at=now,
            )
        (told,) = self.shown([self.get_queryset().get(pk=row.pk)])
        return Response(told, status=HTTPStatus.CREATED)


def _prescription(number: int) -> Prescription:
    prescription = Prescription.objects.filter(pk=number).first()
    if prescription is None:
        raise RefusedError(
            "unknown_prescription",
            f"There is no prescription {number}. Give the number of one on record.",
            fields={"prescription": "the number of a prescription"},
        )
    return prescription


def _shown(row: Dose) -> DoseOut:
    return DoseOut(
        **entry_values(row),
        prescription=row.prescription_id,
        animal=ref(row.prescription.animal),
        drug=row.prescription.drug,
        due_at=row.due_at,
        outcome=DoseOutcome(row.outcome),
        volume_ml=row.volume_ml,
        computed_ml=row.computed_ml,
        weighing=row.weighing_id,
        caution=DOSES.text,
    )
