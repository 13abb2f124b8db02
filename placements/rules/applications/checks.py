"""What is looked into before an application is accepted, and what of it is open."""

from collections.abc import Sequence
from dataclasses import dataclass

from placements.rules.vocabulary import (
    ApplicationState,
    CheckKind,
    CheckOutcome,
    HomeKind,
)

ALL = tuple(CheckKind)
# An organisation or an authority has no landlord to ask and no children at home.
OF_ORGANISATIONS = (CheckKind.REFERENCES, CheckKind.LOCAL_LAW, CheckKind.HOME_READY)
WANTED: dict[HomeKind, tuple[CheckKind, ...]] = {
    HomeKind.HOUSEHOLD: ALL,
    HomeKind.ORGANISATION: OF_ORGANISATIONS,
    HomeKind.AUTHORITY: OF_ORGANISATIONS,
}
# The enclosure is looked at before the animal moves; a gate of its own asks for it.
AFTER_ACCEPTING = frozenset({CheckKind.HOME_READY})


@dataclass(frozen=True, slots=True)
class Checked:
    """One check on record; of each kind the last in order counts."""

    kind: CheckKind
    outcome: CheckOutcome


@dataclass(frozen=True, slots=True)
class ApplicationFacts:
    """Where the application behind a placement stands; without one all is empty."""

    application: int | None
    state: ApplicationState | None
    failed: tuple[CheckKind, ...]
    open: tuple[CheckKind, ...]


NO_APPLICATION = ApplicationFacts(application=None, state=None, failed=(), open=())


def outcomes(
    checks: Sequence[Checked], *, home: HomeKind
) -> dict[CheckKind, CheckOutcome]:
    """Return how each check stands that is wanted of a kind of home, or was made.

    Args:
        checks: on record, the oldest first; of each kind the last one counts.
        home: what the home is.

    Returns:
        By kind, in the order in which they are looked into; open where nothing is on
        record.

    Source:
        application-convention
    """
    newest = {check.kind: check.outcome for check in checks}
    return {
        kind: newest.get(kind, CheckOutcome.OPEN)
        for kind in CheckKind
        if kind in newest or kind in WANTED[home]
    }


def having(
    standing: dict[CheckKind, CheckOutcome], outcome: CheckOutcome
) -> tuple[CheckKind, ...]:
    """Return the checks that came out in one way, in their order.

    Args:
        standing: as `outcomes` returns it.
        outcome: which.
    """
    return tuple(kind for kind, found in standing.items() if found is outcome)


def before_accepting(kinds: Sequence[CheckKind]) -> tuple[CheckKind, ...]:
    """Return those of some checks that have to be settled before accepting."""
    return tuple(kind for kind in kinds if kind not in AFTER_ACCEPTING)
