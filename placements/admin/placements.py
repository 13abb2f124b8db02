"""The back office of placements: plans and handing over."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.urls import reverse

from core.admin import DayField, Given, RecordForm, Step, SteppedDesk, Way
from core.models import User
from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import AnimalStatus
from placements.actions.endings import mark_died_there
from placements.actions.handing_over import hand_over
from placements.actions.placements import (
    call_off,
    extend_stay,
    plan_lasting,
    plan_placement,
)
from placements.models import Application, Placement
from placements.rules.vocabulary import (
    STAYS_OURS,
    ApplicationState,
    PlacementKind,
    PlacementState,
)

LASTING = (PlacementKind.ADOPTION, PlacementKind.SALE, PlacementKind.TRANSFER)


class PlanForm(RecordForm[Placement]):
    """Its gates stand on its own page, where shut ones say why."""

    class Meta:
        model = Placement
        fields = (
            *("animal", "home", "kind", "planned_on", "due_back_on"),
            *("application", "home_enclosure", "release_place"),
        )
        help_texts = {
            "due_back_on": "A loan and a foster stay need it; others have none.",
            "application": "Of that home, if one is asked for.",
            "release_place": "Of a release to the wild only. Only native species that "
            "came from the wild are ever released, by whom the law permits.",
        }


class CallOffForm(RecordForm[Placement]):
    """Call a planned placement off; the animal stays."""

    because = forms.CharField(label="Call it off, because")

    class Meta:
        model = Placement
        fields = ()


class HandOverForm(forms.Form):
    """Hand an animal over with its packet."""

    on = DayField(
        label="It left on", help_text="The local day. Its stay ends with that day."
    )


class LastingForm(forms.Form):
    """Plan that the animal stays where it is."""

    kind = forms.ChoiceField(
        label="From then on it is",
        choices=[("", "—"), *((kind.value, kind.value) for kind in LASTING)],
    )
    planned_on = DayField(label="From")


class ExtendForm(forms.Form):
    """Agree on another day of return."""

    due_back_on = DayField(label="Due back on")


class DiedForm(forms.Form):
    """Note that an animal died where it was placed."""

    on = DayField(label="It died on")
    because = forms.CharField(
        required=False,
        max_length=300,
        help_text="How, as far as it is known. No names of people.",
    )


def _hand_over(row: Placement, given: Given, *, by: User, at: datetime) -> object:
    return hand_over(placement=row, on=given["on"], by=by, at=at)


def _plan_lasting(row: Placement, given: Given, *, by: User, at: datetime) -> object:
    return plan_lasting(
        placement=row,
        kind=PlacementKind(given["kind"]),
        planned_on=given["planned_on"],
        by=by,
        at=at,
    )


def _extend(row: Placement, given: Given, *, by: User, at: datetime) -> object:
    return extend_stay(placement=row, due_back_on=given["due_back_on"], by=by, at=at)


def _died(row: Placement, given: Given, *, by: User, at: datetime) -> object:
    return mark_died_there(
        placement=row, on=given["on"], reason=given["because"], by=by, at=at
    )


def is_away(row: Placement) -> bool:
    """Say whether the animal is away for a time and still the house's own."""
    ours = PlacementKind(row.kind) in STAYS_OURS
    return ours and row.state == PlacementState.HANDED_OVER


HAND_OVER = Step(
    slug="hand-over",
    title="Hand over",
    form=HandOverForm,
    take=_hand_over,
    fits=lambda row: row.state == PlacementState.PLANNED,
    done="is handed over.",
    caution="This cannot be taken back here. Its packet goes with it. Local law decides "
    "on permits, papers and transport: move it only when it is well, in a ventilated "
    "box that keeps its temperature. No animal is released but one of a native species "
    "that came from the wild, by whom the law permits, with a permit; who cannot keep "
    "an animal brings it back.",
)
MAKE_LASTING = Step(
    slug="make-lasting",
    title="Plan to make it lasting",
    form=LastingForm,
    take=_plan_lasting,
    fits=is_away,
    done="is planned to be made lasting.",
    caution="A plan of its own, with gates and a packet of its own. The animal stays "
    "where it is; handing the plan over ends the stay.",
)
EXTEND = Step(
    slug="extend",
    title="Agree on another day of return",
    form=ExtendForm,
    take=_extend,
    fits=is_away,
    done="is due back on another day.",
    caution="An animal that is away for a time stays the house's own responsibility.",
)
DIED = Step(
    slug="died-there",
    title="Note that it died there",
    form=DiedForm,
    take=_died,
    fits=lambda row: row.state == PlacementState.HANDED_OVER,
    done="is noted as ended by a death.",
    caution="This cannot be taken back here. A licensed reptile vet can find out what "
    "an animal died of; local law says whether a death has to be reported. One that "
    "comes back is taken in as an arrival, which ends its placement.",
)


@admin.register(Placement)
class PlacementDesk(SteppedDesk[Placement]):
    # Whom animals go to stands here on every page.
    sees = Permission.SEE_HOMES
    adds = changes = Permission.MANAGE_PLACEMENTS
    adding, changing = PlanForm, CallOffForm
    steps = (HAND_OVER, MAKE_LASTING, EXTEND, DIED)
    offers = {
        "animal": Animal.objects.filter(status=AnimalStatus.IN_CARE),
        "application": Application.objects.exclude(
            state__in=(
                ApplicationState.DECLINED.value,
                ApplicationState.WITHDRAWN.value,
            )
        ).select_related("home", "animal", "species"),
    }
    list_display = ("animal", "home", "kind", "state", "planned_on", "handed_over_on")
    list_select_related = ("animal", "home")
    list_filter = ("state", "kind")
    search_fields = ("animal__code", "animal__name")

    def is_open(self, row: Placement) -> bool:
        return row.state == PlacementState.PLANNED

    def ways(self, row: Placement) -> list[Way]:
        if row.state == PlacementState.CALLED_OFF:
            return super().ways(row)
        form = reverse("admin:placements_packet_add")
        return [("Make its packet", f"{form}?placement={row.pk}"), *super().ways(row)]

    def add(self, given: Given, *, by: User, at: datetime) -> Placement:
        return plan_placement(
            animal=given["animal"],
            home=given["home"],
            kind=PlacementKind(given["kind"]),
            planned_on=given["planned_on"],
            due_back_on=given["due_back_on"],
            release_place=given["release_place"],
            application=given["application"],
            home_enclosure=given["home_enclosure"],
            by=by,
            at=at,
        )

    def change(
        self, row: Placement, given: Given, *, by: User, at: datetime
    ) -> Placement:
        return call_off(placement=row, reason=given["because"], by=by, at=at)
