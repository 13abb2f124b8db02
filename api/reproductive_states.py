"""Reproductive states: from when until when animals were gravid."""

from collections.abc import Sequence
from datetime import date
from http import HTTPStatus
from typing import Annotated

from django.db.models import Q, QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.animal_codes import LABEL, animal_named
from api.filters import BooleanFilter, CharFilter, DayFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.structs import In, Out, Ref, ref
from api.views import Rows
from core.roles import Permission
from husbandry.actions.reproduction import record_reproductive_state
from husbandry.models import ReproductiveSpell
from husbandry.queries.stays import local_day_of
from husbandry.rules.vocabulary import Reproduction


class ReproductiveStateFilter(FilterSet):
    """Which spells."""

    animal = CharFilter("animal__code", help_text="Code of the animal.")
    state = WordFilter(Reproduction)
    on = DayFilter(method="on_day", help_text="Those whose days hold this one.")
    open = BooleanFilter("until_on", "isnull", help_text="true: not ended yet.")

    class Meta:
        model = ReproductiveSpell
        fields = ["animal", "state", "on", "open"]

    def on_day(
        self, rows: QuerySet[ReproductiveSpell], name: str, value: date
    ) -> QuerySet[ReproductiveSpell]:
        """Return those that lasted on a day."""
        still = Q(until_on__isnull=True) | Q(until_on__gte=value)
        return rows.filter(still, from_on__lte=value)


class ReproductiveStateIn(In, frozen=True, kw_only=True):
    """In which state an animal is from a day on."""

    animal: LABEL
    state: Annotated[
        Reproduction, Meta(description="gravid begins a spell, resting ends it.")
    ]
    on: Annotated[
        date | None,
        Meta(
            description="First local day of the new state, today unless given; of one "
            "that laid, the day after."
        ),
    ] = None
    basis: Annotated[str, Meta(max_length=200, description="What it was seen by.")] = ""


class ReproductiveStateOut(Out, frozen=True):
    """A spell in a state other than resting."""

    about = ReproductiveSpell
    id: int
    animal: Ref | None
    state: Reproduction
    from_on: date
    until_on: date | None
    basis: str


class ReproductiveStates(Rows[ReproductiveSpell]):
    """The newest first; on days without one an animal rests."""

    plural = "reproductive states"
    permissions = {
        "list": Permission.SEE_ANIMALS,
        "retrieve": Permission.SEE_ANIMALS,
        "create": Permission.EDIT_ANIMALS,
    }
    filterset_class = ReproductiveStateFilter
    takes = {"create": ReproductiveStateIn}
    gives = {
        "create": {
            HTTPStatus.CREATED: ReproductiveStateOut,
            HTTPStatus.OK: ReproductiveStateOut,
        }
    }
    out = ReproductiveStateOut
    ordering = ("-from_on", "-id")
    searched = ("animal__code",)
    orderable = ("id", "from_on")

    def get_queryset(self) -> QuerySet[ReproductiveSpell]:
        """Return all spells."""
        return ReproductiveSpell.objects.select_related("animal")

    def shown(self, rows: Sequence[ReproductiveSpell]) -> list[ReproductiveStateOut]:
        """Return spells with the codes of their animals."""
        return [_shown(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Note that an animal is in another state from a day on; targets may depend on it.

        A spell that begins answers 201. Resting ends the one that is open, and answers
        200 with it. Nights since are reviewed again. A laying ends it by itself: see
        clutches/lay/.
        """
        given, now = read_body(sent(request), ReproductiveStateIn), timezone.now()
        animal = animal_named(given.animal)
        row = record_reproductive_state(
            animal=animal,
            state=given.state,
            on=given.on or local_day_of(animal=animal, at=now),
            by=self.person,
            at=now,
            basis=given.basis,
        )
        begun = given.state is not Reproduction.RESTING
        status = HTTPStatus.CREATED if begun else HTTPStatus.OK
        return Response(_shown(row), status=status)


def _shown(row: ReproductiveSpell) -> ReproductiveStateOut:
    return ReproductiveStateOut(
        id=row.pk,
        animal=ref(row.animal),
        state=Reproduction(row.state),
        from_on=row.from_on,
        until_on=row.until_on,
        basis=row.basis,
    )
