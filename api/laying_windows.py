"""When a female is expected to lay, as it is answered."""

from datetime import date
from typing import Annotated

from msgspec import Meta

from api.structs import Out
from clutches.queries.pairings import Outlook, PairingLine
from clutches.rules.layings.loads import BreedingLoad
from clutches.rules.layings.windows import ExpectedLaying
from clutches.rules.vocabulary import ClutchKind, LayingSign


class LayingWindowOut(Out, frozen=True):
    """Between which days she is expected to lay, or to bear, and why."""

    kind: ClutchKind
    window_from: date
    window_until: date
    because: Annotated[
        LayingSign, Meta(description="What it is counted from; the surest of several.")
    ]
    since_on: Annotated[
        date, Meta(description="Of the last mating counted, or the first gravid sign.")
    ]
    sire: Annotated[str, Meta(description="The male of that mating; empty: a sign.")]
    bin_from: Annotated[
        date | None,
        Meta(description="From when on she has a place to dig; null: live-bearer."),
    ]
    watch_from: Annotated[
        date, Meta(description="From when on somebody looks at her every day.")
    ]
    rule: Annotated[str, Meta(description="Id of the care profile's row.")]


class BreedingLoadOut(Out, frozen=True):
    """What the last 365 days of laying cost her."""

    clutches: int
    eggs: int
    most_clutches: Annotated[
        int | None, Meta(description="That the care profile puts up with.")
    ]
    last_on: Annotated[date | None, Meta(description="Day of her last laying.")]
    rest_days: Annotated[int | None, Meta(description="Since then.")]
    rest_wanted_days: int | None
    rested: bool


class OutlookOut(Out, frozen=True):
    """What is expected of a female, whoever the male was."""

    expected: LayingWindowOut | None
    next_clutch_from: Annotated[
        date | None,
        Meta(
            description="From this day on she can lay again from stored sperm, or "
            "without a male."
        ),
    ]
    load: BreedingLoadOut


def shown_outlook(line: PairingLine | Outlook) -> OutlookOut:
    """Return what is expected of a female, as it is answered."""
    again = line.next_clutch
    return OutlookOut(
        expected=_window(line.expected) if line.expected else None,
        next_clutch_from=again.from_on if again else None,
        load=_load(line.load),
    )


def _window(expected: ExpectedLaying) -> LayingWindowOut:
    return LayingWindowOut(
        kind=expected.kind,
        window_from=expected.window_from,
        window_until=expected.window_until,
        because=expected.because,
        since_on=expected.since_on,
        sire=expected.sire,
        bin_from=expected.bin_from,
        watch_from=expected.watch_from,
        rule=expected.rule_id,
    )


def _load(load: BreedingLoad) -> BreedingLoadOut:
    return BreedingLoadOut(
        clutches=load.clutches,
        eggs=load.eggs,
        most_clutches=load.most_clutches,
        last_on=load.last_on,
        rest_days=load.rest_days,
        rest_wanted_days=load.rest_wanted_days,
        rested=load.rested,
    )
