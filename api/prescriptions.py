"""Prescriptions: what a licensed vet wrote, and what one dose is by today's weight."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.care_structs import ReasonIn, Small
from api.filters import (
    BooleanFilter,
    CharFilter,
    DayFilter,
    FilterSet,
    on_record_by,
    on_record_from,
)
from api.inputs import exact, read_body, sent
from api.structs import In, Instant, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.prescriptions import prescribe, stop_prescription
from husbandry.models import Prescription
from husbandry.queries.prescriptions import WaitingDoses, waiting_doses
from husbandry.rules.health.cautions import DOSES
from husbandry.rules.vocabulary import DoseUnit, Route

CAUTION = Annotated[str, Meta(description="What to mind; show it with the rest.")]


class PrescriptionFilter(FilterSet):
    """Which prescriptions."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    in_force = BooleanFilter("stopped_at", "isnull", help_text="true: not stopped.")
    from_on = DayFilter(
        "until_on",
        "gte",
        help_text="Those of which a dose is due on or after this day.",
    )
    recorded_from = on_record_from()
    recorded_by = on_record_by()

    class Meta:
        model = Prescription
        fields = [
            "animal",
            "in_force",
            "from_on",
            *("recorded_from", "recorded_by"),
        ]


class PrescriptionIn(In, frozen=True, kw_only=True):
    """What a licensed vet wrote; whether it is wise, the vet says."""

    animal: LABEL
    drug: Annotated[
        str, Meta(min_length=1, max_length=120, description="As the vet wrote it.")
    ]
    dose_per_kg: Annotated[
        float, Meta(description="For each kilogram, in `dose_unit`; four decimals.")
    ]
    dose_unit: DoseUnit
    concentration_mg_per_ml: Annotated[
        float | None,
        Meta(description="mg in one mL of what is drawn up; mg_per_kg only."),
    ] = None
    route: Route
    every_hours: Annotated[Small, Meta(description="From dose to dose, 1 to 720.")]
    first_at: Annotated[Instant, Meta(description="When the first dose is due.")]
    until_on: Annotated[
        date, Meta(description="Last local day on which a dose is due.")
    ]
    smallest_step_ml: Annotated[
        float, Meta(description="What the syringe in use can measure, mL.")
    ]
    vet: Annotated[
        str,
        Meta(min_length=1, max_length=160, description="Licensed vet, with practice."),
    ]
    prescribed_on: date
    reason: Annotated[str, Meta(max_length=300, description="In the vet's words.")] = ""


class PrescriptionOut(Out, frozen=True):
    """One medicine or fluid for one animal, as a licensed vet prescribed it."""

    about = Prescription
    id: int
    animal: Ref | None
    drug: str
    dose_per_kg: Decimal
    dose_unit: DoseUnit
    concentration_mg_per_ml: Decimal | None
    route: Route
    every_hours: int
    first_at: Instant
    until_on: date
    smallest_step_ml: Decimal
    vet: str
    prescribed_on: date
    reason: str
    recorded_by: str | None
    recorded_at: Instant
    stopped_at: Instant | None
    stopped_by: str | None
    stopped_reason: str
    caution: CAUTION


class DoseVolumeOut(Out, frozen=True):
    """What to draw up for a dose given now, and from what it was computed."""

    volume_ml: Annotated[Decimal, Meta(description="To the syringe's step, mL.")]
    exact_ml: Annotated[Decimal, Meta(description="Before it was rounded, mL.")]
    amount_mg: Annotated[
        Decimal | None, Meta(description="Of the drug, mg; null: given by volume.")
    ]
    mass_g: Annotated[Decimal, Meta(description="Grams, of the newest weighing.")]
    weighed_on: Annotated[date, Meta(description="Local day of that weighing.")]
    remarks: Annotated[tuple[str, ...], Meta(description="What could not be checked.")]


class DoseRefusal(Out, frozen=True):
    """Why no volume is computed."""

    code: Annotated[str, Meta(description="Stable, for scripts.")]
    sentence: Annotated[str, Meta(description="Why not, and what to do.")]


class DoseNowOut(Out, frozen=True):
    """One dose if it were given now: its volume, or why there is none."""

    volume: DoseVolumeOut | None
    refusal: DoseRefusal | None
    due: Annotated[
        tuple[Instant, ...],
        Meta(description="Due doses of which nothing is on record, the oldest first."),
    ]


class PrescriptionDetail(PrescriptionOut, frozen=True):
    """A prescription, and one dose by the newest weight."""

    dose: DoseNowOut


class Prescriptions(Rows[Prescription]):
    """The newest first, stopped ones too. Arithmetic on a vet's word, never advice."""

    plural = "prescriptions"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.PRESCRIBE,
        "stop": Permission.PRESCRIBE,
    }
    filterset_class = PrescriptionFilter
    takes = {"create": PrescriptionIn, "stop": ReasonIn}
    gives = {
        "retrieve": PrescriptionDetail,
        "create": {HTTPStatus.CREATED: PrescriptionDetail},
        "stop": PrescriptionDetail,
    }
    out = PrescriptionOut
    ordering = ("-first_at", "-id")
    searched = ("animal__code", "drug", "reason", "stopped_reason")
    orderable = ("id", "first_at", "until_on", "prescribed_on", "recorded_at")

    def get_queryset(self) -> QuerySet[Prescription]:
        """Return all prescriptions."""
        people = ("recorded_by", "stopped_by")
        return Prescription.objects.select_related("animal", *people)

    def shown(self, rows: Sequence[Prescription]) -> list[PrescriptionOut]:
        """Return prescriptions with the codes of their animals."""
        return [PrescriptionOut(**_values(row)) for row in rows]

    def retrieve(self, request: Request, **kwargs: str) -> Response:
        """Show a prescription, and one dose as it would be given now.

        The volume is computed from the newest weighing in force, or it is refused and
        the sentence says what to do. It is arithmetic on what a vet wrote.
        """
        choose = self.choosing()
        return Response(choose(_detail(self.one())))

    def create(self, request: Request) -> Response:
        """Record what a licensed vet prescribed; nothing is rounded."""
        given = read_body(sent(request), PrescriptionIn)
        concentration = given.concentration_mg_per_ml
        row = prescribe(
            animal=animal_named(given.animal),
            drug=given.drug,
            dose_per_kg=exact(given.dose_per_kg),
            dose_unit=given.dose_unit,
            concentration_mg_per_ml=(
                None if concentration is None else exact(concentration)
            ),
            route=given.route,
            every_hours=given.every_hours,
            first_at=given.first_at,
            until_on=given.until_on,
            smallest_step_ml=exact(given.smallest_step_ml),
            vet=given.vet,
            prescribed_on=given.prescribed_on,
            reason=given.reason,
            by=self.person,
            at=timezone.now(),
        )
        told = _detail(self.get_queryset().get(pk=row.pk))
        return Response(told, status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def stop(self, request: Request, **kwargs: str) -> Response:
        """Stop a prescription, on a vet's word: from now on no dose is due.

        Some medicines must not be stopped at once: ask the vet first.
        """
        row = self.one()
        given = read_body(sent(request), ReasonIn)
        stop_prescription(
            prescription=row, reason=given.reason, by=self.person, at=timezone.now()
        )
        return Response(_detail(self.one()))


def _values(row: Prescription) -> dict[str, Any]:
    return {
        "id": row.pk,
        "animal": ref(row.animal),
        "drug": row.drug,
        "dose_per_kg": row.dose_per_kg,
        "dose_unit": DoseUnit(row.dose_unit),
        "concentration_mg_per_ml": row.concentration_mg_per_ml,
        "route": Route(row.route),
        "every_hours": row.every_hours,
        "first_at": row.first_at,
        "until_on": row.until_on,
        "smallest_step_ml": row.smallest_step_ml,
        "vet": row.vet,
        "prescribed_on": row.prescribed_on,
        "reason": row.reason,
        "recorded_by": str(row.recorded_by) if row.recorded_by else None,
        "recorded_at": row.recorded_at,
        "stopped_at": row.stopped_at,
        "stopped_by": str(row.stopped_by) if row.stopped_by else None,
        "stopped_reason": row.stopped_reason,
        "caution": DOSES.text,
    }


def _detail(row: Prescription) -> PrescriptionDetail:
    waiting = waiting_doses(prescription=row, at=timezone.now())
    return PrescriptionDetail(**_values(row), dose=_dose(row, waiting))


def _dose(row: Prescription, waiting: WaitingDoses) -> DoseNowOut:
    code, sentence = waiting.code, waiting.refusal
    if row.stopped_at is not None:
        stopped_at = row.stopped_at.astimezone(waiting.zone)
        code, sentence = (
            "stopped",
            f"{row.drug} was stopped at {stopped_at:%Y-%m-%d %H:%M}; nothing is given "
            "any more.",
        )
    refusal = DoseRefusal(code=code, sentence=sentence) if code else None
    volume = waiting.volume if refusal is None else None
    return DoseNowOut(
        volume=None
        if volume is None
        else DoseVolumeOut(
            volume_ml=volume.volume_ml,
            exact_ml=volume.exact_ml,
            amount_mg=volume.amount_mg,
            mass_g=volume.mass_g,
            weighed_on=volume.weighed_on,
            remarks=volume.remarks,
        ),
        refusal=refusal,
        due=waiting.due,
    )
