"""Whether an animal can be planned to go somewhere, before any gate is looked at."""

from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from husbandry.rules.animals import not_in_care
from husbandry.rules.vocabulary import AnimalStatus
from placements.rules.vocabulary import STAYS_OURS, PlacementKind


class PlanError(DomainError):
    """A placement cannot be planned like that."""

    code = "placement_plan"


class NotInCareError(PlanError):
    """Only an animal that is in care can be placed."""

    code = "not_in_care"


@dataclass(frozen=True, slots=True)
class Plan:
    """What is planned for one animal.

    Attributes:
        label: the animal's code and name.
        home: key of the home; None: into the wild.
        home_erased: its personal data are gone, so nobody can be reached there.
        applicant: key of the home whose application it is; None: of none.
        enclosure_home: key of the home whose enclosure is named; None: none is named.
        from_on: first day on which the animal can leave: its arrival, or the day on
            which the stay began that is to be made lasting.
    """

    label: str
    status: AnimalStatus
    from_on: date
    kind: PlacementKind
    planned_on: date
    home: int | None = None
    home_erased: bool = False
    due_back_on: date | None = None
    release_place: str = ""
    applicant: int | None = None
    enclosure_home: int | None = None


def check_plan(plan: Plan, *, lasting: bool = False) -> None:
    """Refuse what cannot be planned.

    Args:
        plan: what is planned.
        lasting: the animal lives there already, on loan or as a foster animal.

    Raises:
        NotInCareError: the animal is not in care, and does not live there either.
        PlanError: a day, a home, a place or a paper of somebody else's that does not
            go with the kind.
    """
    if plan.status is not AnimalStatus.IN_CARE and not lasting:
        raise NotInCareError(
            f"{not_in_care(plan.label, plan.status)} It cannot be placed.",
            fields={"animal": "an animal in care"},
        )
    if plan.planned_on < plan.from_on:
        raise PlanError(
            f"{plan.planned_on} lies before {plan.from_on}, when {plan.label} came.",
            fields={"planned_on": f"Give a day from {plan.from_on} on."},
        )
    _check_place(plan)
    check_due_back(plan.kind, due_back_on=plan.due_back_on, after=plan.planned_on)
    _check_of_one_home(plan)


def _check_place(plan: Plan) -> None:
    if plan.kind is PlacementKind.RELEASE:
        if plan.home is not None:
            raise PlanError(
                "A release goes into the wild, not to a home.",
                fields={"home": "leave empty"},
            )
        if not plan.release_place.strip():
            raise PlanError(
                "Say where it is to be released.",
                fields={"release_place": "not blank"},
            )
        return
    if plan.home is None:
        raise PlanError(
            f"A placement by {plan.kind.value} needs a home.",
            fields={"home": "a home on record"},
        )
    if plan.home_erased:
        raise PlanError(
            "This home's personal data were erased; record it anew, so that somebody "
            "can be reached there.",
            fields={"home": "a home that is on record with its name"},
        )
    if plan.release_place.strip():
        raise PlanError(
            "A place of release goes with a release only.",
            fields={"release_place": "leave empty"},
        )


def check_due_back(
    kind: PlacementKind, *, due_back_on: date | None, after: date
) -> None:
    """Refuse a day of return that does not go with the kind.

    Args:
        kind: a loan and a foster stay need one, others have none.
        due_back_on: the day; None: none.
        after: the day on which it leaves; it is due back later.

    Raises:
        PlanError: it is missing, too early, or of a kind that has none.
    """
    if kind not in STAYS_OURS:
        if due_back_on is not None:
            raise PlanError(
                f"Nothing is due back of a placement by {kind.value}.",
                fields={"due_back_on": "leave empty"},
            )
        return
    if due_back_on is None:
        raise PlanError(
            f"A {kind.value} needs a day on which the animal is due back, or looked at "
            "again.",
            fields={"due_back_on": f"a day after {after}"},
        )
    if due_back_on <= after:
        raise PlanError(
            f"{due_back_on} does not lie after {after}; it is due back later.",
            fields={"due_back_on": f"a day after {after}"},
        )


def _check_of_one_home(plan: Plan) -> None:
    for name, whose in (
        ("application", plan.applicant),
        ("home_enclosure", plan.enclosure_home),
    ):
        if whose is not None and whose != plan.home:
            what = name.replace("_", " ")
            raise PlanError(
                f"This {what} is of another home.", fields={name: "one of this home"}
            )


def check_lasting(*, now: PlacementKind, to: PlacementKind) -> None:
    """Refuse what does not make a stay lasting.

    Args:
        now: in what way the animal went there.
        to: in what way it is to stay.

    Raises:
        PlanError: it did not go there for a time, or would not stay for good.
    """
    if now not in STAYS_OURS:
        raise PlanError(
            f"Only a loan or a foster stay can be made lasting; this is a {now.value}.",
        )
    lasting = [
        kind
        for kind in PlacementKind
        if kind not in {*STAYS_OURS, PlacementKind.RELEASE}
    ]
    if to not in lasting:
        words = ", ".join(kind.value for kind in lasting)
        raise PlanError(
            f"A stay is made lasting by {words}, not by {to.value}.",
            fields={"kind": words},
        )
