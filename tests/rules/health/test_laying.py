"""Laying: fasting but bright, weak, no bin, stopped, too long."""

from datetime import UTC, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from husbandry.rules.care.facts import CaredAnimal
from husbandry.rules.health.laying import assess_laying
from husbandry.rules.vocabulary import (
    FindingKind,
    ObservationKind,
    Observed,
    Sex,
    Urgency,
)
from husbandry.rules.weights import GravidSpell
from tests.rules.health.facts import TODAY, animal, date, fed, place, seen

NOW, TODAY_, WATCH = Urgency.NOW, Urgency.TODAY, Urgency.WATCH
GRAVID = (GravidSpell(date(2026, 2, 20), None),)
FASTING = (fed(1, 0), fed(2, 0))
BRIGHT = seen(2, ObservationKind.ALERTNESS, Observed.BRIGHT)
WEAK = seen(2, ObservationKind.ALERTNESS, Observed.WEAK)


def told(her: CaredAnimal, *, laying_bin: bool = True) -> list[tuple[str, Urgency]]:
    facts = place(her, laying_bin=laying_bin)
    return [
        (a.facts["trouble"], a.urgency) for a in assess_laying(her, facts, on=TODAY)
    ]


@pytest.mark.parametrize(
    ("feedings", "observations", "expected"),
    [
        # VCA: a healthy gravid female may fast but stays bright; off her food and
        # weak is trouble.
        (FASTING, (BRIGHT,), [("gravid_fasting", WATCH)]),
        (FASTING, (WEAK,), [("gravid_fasting", NOW)]),
        # Weak, one refused meal is enough; without one she is weak still.
        ((fed(2, 0),), (WEAK,), [("gravid_fasting", NOW)]),
        ((fed(2, 4),), (WEAK,), [("gravid_weak", TODAY_)]),
        ((), (WEAK,), [("gravid_weak", TODAY_)]),
        # Eating and bright, or one refused meal and bright: nothing.
        ((fed(2, 4),), (BRIGHT,), []),
        ((fed(2, 0),), (BRIGHT,), []),
        # The newest counts.
        (FASTING, (seen(1, WEAK.kind, Observed.WEAK), BRIGHT), [("gravid_fasting", WATCH)]),
        # Three days back counts, four do not: nobody knows, and that is today's.
        (FASTING, (seen(-1, WEAK.kind, Observed.WEAK),), [("gravid_fasting", NOW)]),
        (FASTING, (seen(-2, WEAK.kind, Observed.WEAK),), [("gravid_fasting", TODAY_)]),
        (FASTING, (seen(-2, WEAK.kind, Observed.BRIGHT),), [("gravid_fasting", TODAY_)]),
        (FASTING, (), [("gravid_fasting", TODAY_)]),
    ],
)  # fmt: skip
def test_fasting_of_a_gravid_female_is_judged_by_how_bright_she_is(
    feedings: tuple[Any, ...],
    observations: tuple[Any, ...],
    expected: list[tuple[str, Urgency]],
) -> None:
    her = animal(gravid=GRAVID, feedings=feedings, observations=observations)

    assert told(her) == expected


def test_fasting_says_what_it_was_judged_by() -> None:
    her = animal(gravid=GRAVID, feedings=FASTING, observations=(BRIGHT,))

    (found,) = assess_laying(her, place(her), on=TODAY)

    assert found.kind is FindingKind.LAYING_TROUBLE
    assert found.facts == {
        "trouble": "gravid_fasting",
        "meals": 2,
        "since_on": "2026-03-01",
        "alertness": "bright",
        "looked_on": "2026-03-02",
    }
    assert (found.animal, found.detail) == (1, ("gravid_fasting",))
    assert found.provenance is not None
    assert found.provenance.source == "vca-dystocia"


@pytest.mark.parametrize(
    "changes",
    [
        {"gravid": ()},
        {"gravid": (GravidSpell(date(2026, 2, 1), TODAY),)},  # she laid today
        {"gravid": (GravidSpell(date(2026, 3, 3), None),)},
        {"sex": Sex.MALE},
    ],
)
def test_who_carries_no_eggs_has_no_trouble_with_fasting(
    changes: dict[str, Any],
) -> None:
    given = {"gravid": GRAVID, "feedings": FASTING, "observations": (WEAK,)}

    assert told(animal(**(given | changes))) == []


def digging(day: int, observed: Observed = Observed.BEGUN) -> Any:
    return seen(day, ObservationKind.DIGGING, observed)


LAID = seen(2, ObservationKind.LAYING, Observed.FINISHED)


@pytest.mark.parametrize(
    ("observations", "laying_bin", "trouble"),
    [
        ((digging(2),), False, True),
        ((digging(2),), True, False),
        ((digging(-1),), False, True),
        ((digging(-2),), False, False),
        ((digging(1), digging(2, Observed.FINISHED)), False, False),
        # She gave up without having laid: still no place to lay.
        ((digging(1), digging(2, Observed.STOPPED)), False, True),
        ((digging(1), LAID), False, False),
        ((LAID, digging(3)), False, False),
        ((), False, False),
    ],
)
def test_digging_without_a_bin_is_urgent(
    observations: tuple[Any, ...], laying_bin: bool, trouble: bool
) -> None:
    # Common practice, no source: no place to lay can mean egg-binding and death.
    her = animal(observations=observations)

    expected = [("digging_without_bin", NOW)] if trouble else []
    assert told(her, laying_bin=laying_bin) == expected


def test_digging_where_she_is_nowhere_on_record_is_not_judged() -> None:
    assert told(animal(observations=(digging(2),), enclosure=None)) == []
    assert told(animal(observations=(digging(2),), enclosure=99)) == []


def laying(at: datetime, observed: Observed = Observed.STOPPED, **changes: Any) -> Any:
    changes = {
        "at": at,
        "on": at.astimezone(ZoneInfo("Europe/Lisbon")).date(),
    } | changes
    return seen(0, ObservationKind.LAYING, observed, **changes)


MIDNIGHT = datetime(2026, 3, 3, tzinfo=UTC)  # the end of 2 March in Lisbon


@pytest.mark.parametrize(
    ("hours", "urgency"),
    # WikiVet: laying that stops part of the way is treated within 48 hours.
    [(0.5, TODAY_), (47.9, TODAY_), (48, NOW), (48.1, NOW), (100, NOW)],
)
def test_laying_that_stopped_is_urgent_after_48_hours(
    hours: float, urgency: Urgency
) -> None:
    her = animal(observations=(laying(MIDNIGHT - timedelta(hours=hours)),))

    assert told(her) == [("laying_stopped", urgency)]


def test_laying_that_stopped_says_when_and_after_how_many_eggs() -> None:
    her = animal(observations=(laying(MIDNIGHT - timedelta(hours=50), eggs=12),))

    (found,) = assess_laying(her, place(her), on=TODAY)

    assert found.facts == {
        "trouble": "laying_stopped",
        "stopped_at": "2026-02-28 22:00",
        "hours": 50.0,
        "limit_hours": 48.0,
        "eggs": 12,
    }
    assert found.rule_id == "eggs-laying-stopped"
    assert found.provenance is not None
    assert found.provenance.source == "wikivet"


def test_laying_is_judged_by_48_hours_without_a_profile_too() -> None:
    at = MIDNIGHT - timedelta(hours=48)
    her = animal(profile=None, observations=(laying(at),))

    (found,) = assess_laying(her, place(her), on=TODAY)

    assert (found.urgency, found.rule_id) == (NOW, "")
    assert found.provenance is not None
    assert found.provenance.source == "wikivet"


@pytest.mark.parametrize("later", [Observed.FINISHED, Observed.BEGUN])
def test_laying_that_went_on_or_ended_is_no_trouble(later: Observed) -> None:
    stopped = laying(MIDNIGHT - timedelta(hours=60))
    went_on = laying(MIDNIGHT - timedelta(hours=20), later, id=101)

    assert told(animal(observations=(stopped, went_on))) == []


@pytest.mark.parametrize(("days", "trouble"), [(34, False), (35, False), (36, True)])
def test_carrying_for_longer_than_the_profile_says(days: int, trouble: bool) -> None:
    # 20–35 days from mating to laying: zoo profile 2014; Kramer, a case.
    her = animal(gravid=(GravidSpell(TODAY - timedelta(days=days), None),))

    assert told(her) == ([("gravid_long", TODAY_)] if trouble else [])


def test_carrying_for_long_says_since_when() -> None:
    her = animal(gravid=(GravidSpell(date(2026, 1, 1), None),))

    (found,) = assess_laying(her, place(her), on=TODAY)

    assert found.facts == {
        "trouble": "gravid_long",
        "since_on": "2026-01-01",
        "days": 60,
        "limit_days": 35.0,
    }
    assert told(animal(gravid=her.gravid, profile=None)) == []


def test_troubles_are_told_one_by_one() -> None:
    her = animal(
        gravid=(GravidSpell(date(2026, 1, 1), None),),
        feedings=FASTING,
        observations=(WEAK, digging(2), laying(MIDNIGHT - timedelta(hours=60))),
    )

    assert told(her, laying_bin=False) == [
        ("gravid_fasting", NOW),
        ("digging_without_bin", NOW),
        ("laying_stopped", NOW),
        ("gravid_long", TODAY_),
    ]
