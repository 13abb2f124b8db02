"""Signs stay until somebody says that they are gone."""

from dataclasses import replace
from typing import Any

import pytest

from husbandry.rules.health.signs import assess_signs
from husbandry.rules.vocabulary import (
    FindingKind,
    ObservationKind,
    Observed,
    Urgency,
)
from tests.rules.health.facts import PROFILE, TODAY, animal, seen

DARK, INJURY = "sign-dark", "sign-injury"


def sign(day: int, name: str, *, gone: bool = False, **changes: Any) -> Any:
    observed = Observed.GONE if gone else Observed.PRESENT
    return seen(day, ObservationKind.SIGN, observed, sign=name, **changes)


@pytest.mark.parametrize(
    ("observations", "expected"),
    [
        ((), []),
        ((sign(1, DARK),), [(DARK, "2026-03-01", 1)]),
        ((sign(0, DARK), sign(1, DARK)), [(DARK, "2026-02-28", 2)]),
        ((sign(1, DARK), sign(0, DARK)), [(DARK, "2026-02-28", 2)]),
        ((sign(0, DARK), sign(1, DARK, gone=True)), []),
        # Gone and back: since it came back.
        (
            (sign(0, DARK), sign(1, DARK, gone=True), sign(2, DARK)),
            [(DARK, "2026-03-02", 1)],
        ),
        # One is gone, the other is not.
        (
            (sign(0, DARK), sign(0, INJURY), sign(1, DARK, gone=True)),
            [(INJURY, "2026-02-28", 1)],
        ),
        # Tomorrow is not known yet.
        ((sign(0, DARK), sign(3, DARK, gone=True)), [(DARK, "2026-02-28", 1)]),
        ((sign(3, DARK),), []),
        ((seen(1, ObservationKind.NOTE, None),), []),
    ],
)
def test_sign_stays_until_it_is_gone(
    observations: tuple[Any, ...], expected: list[Any]
) -> None:
    found = [*assess_signs(animal(observations=observations), on=TODAY)]

    told = [(a.facts["sign"], a.facts["since_on"], a.facts["times"]) for a in found]
    assert told == expected


@pytest.mark.parametrize(
    ("name", "urgency"),
    # Of the shipped profile: emergencies after petemergencyacademy.com and dvm360;
    # stress colours as common practice, no source; fasting after VCA.
    [
        (INJURY, Urgency.NOW),
        (DARK, Urgency.TODAY),
        ("sign-gravid-fasting", Urgency.WATCH),
    ],
)
def test_sign_is_as_urgent_as_its_profile_says(name: str, urgency: Urgency) -> None:
    row = next(s for s in PROFILE.warning_signs if s.id == name)

    (found,) = assess_signs(
        animal(observations=(sign(1, name, note="left eye"),)), on=TODAY
    )

    assert (found.kind, found.urgency) == (FindingKind.SIGN_SEEN, urgency)
    assert (found.rule_id, found.detail, found.provenance) == (
        name,
        (name,),
        row.provenance,
    )
    assert found.facts == {
        "sign": name,
        "text": row.text,
        "do": row.do,
        "since_on": "2026-03-01",
        "last_on": "2026-03-01",
        "times": 1,
        "note": "left eye",
    }


@pytest.mark.parametrize("profile", [None, replace(PROFILE, warning_signs=())])
def test_sign_that_no_profile_has_is_told_all_the_same(profile: Any) -> None:
    (found,) = assess_signs(
        animal(profile=profile, observations=(sign(1, DARK),)), on=TODAY
    )

    assert (found.urgency, found.rule_id) == (Urgency.TODAY, "")
    assert found.facts["text"] == DARK
    assert "licensed reptile vet" in found.facts["do"]
