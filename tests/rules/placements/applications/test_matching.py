"""What speaks for and against an application: from what was stated, nothing added up."""

from datetime import date

import pytest

from husbandry.rules.vocabulary import Sex
from placements.rules.applications.matching import (
    Applied,
    Matter,
    Reason,
    Side,
    Wanted,
    match,
)
from placements.rules.vocabulary import ApplicationState

FOR, AGAINST, NOT_KNOWN = Side.FOR, Side.AGAINST, Side.NOT_KNOWN
WANTED = Wanted(animal=1, sex=Sex.UNKNOWN, needs_uvb_tube=False, under_treatment=False)


def applied(animal: int | None = None, **answers: str) -> Applied:
    return Applied(
        id=7,
        home=3,
        home_name="The Greys",
        state=ApplicationState.WAITING,
        animal=animal,
        since=date(2026, 3, 2),
        answers=tuple(answers.items()),
    )


def reasons(wanted: Wanted, one: Applied) -> dict[Matter, tuple[Side, str]]:
    return {r.matter: (r.side, r.stated) for r in match(wanted, one).reasons}


def test_what_was_not_answered_is_not_known() -> None:
    assert match(WANTED, applied()).reasons == (
        Reason(Matter.EXPERIENCE, NOT_KNOWN, ""),
        Reason(Matter.ENCLOSURE, NOT_KNOWN, ""),
        Reason(Matter.MEASURING, NOT_KNOWN, ""),
    )


@pytest.mark.parametrize(
    ("answers", "matter", "side"),
    [
        ({"kept_before": "species"}, Matter.EXPERIENCE, FOR),
        ({"kept_before": "relatives"}, Matter.EXPERIENCE, FOR),
        ({"kept_before": "other"}, Matter.EXPERIENCE, FOR),
        ({"kept_before": "none"}, Matter.EXPERIENCE, AGAINST),
        ({"enclosure": "ready"}, Matter.ENCLOSURE, FOR),
        ({"enclosure": "building"}, Matter.ENCLOSURE, AGAINST),
        ({"enclosure": "planned"}, Matter.ENCLOSURE, AGAINST),
        ({"measures": "yes"}, Matter.MEASURING, FOR),
        ({"measures": "no"}, Matter.MEASURING, AGAINST),
        ({"measures": "sometimes"}, Matter.MEASURING, NOT_KNOWN),
    ],
)
def test_stated_experience_and_equipment(
    answers: dict[str, str], matter: Matter, side: Side
) -> None:
    (stated,) = answers.values()

    assert reasons(WANTED, applied(**answers))[matter] == (side, stated)


@pytest.mark.parametrize(
    ("lamp", "side"),
    [
        ("linear_t5", FOR),
        ("linear_t8", AGAINST),
        ("compact", AGAINST),
        ("none", AGAINST),
        ("other", NOT_KNOWN),
        ("not_known", NOT_KNOWN),
        ("", NOT_KNOWN),
    ],
)
def test_the_lamp_counts_where_the_profile_asks_for_a_tube(
    lamp: str, side: Side
) -> None:
    wanted = Wanted(1, Sex.UNKNOWN, needs_uvb_tube=True, under_treatment=False)

    assert reasons(wanted, applied(uvb=lamp))[Matter.UVB] == (side, lamp)
    assert Matter.UVB not in reasons(WANTED, applied(uvb=lamp))


@pytest.mark.parametrize(
    ("sex", "asked", "side"),
    [
        (Sex.FEMALE, "female", FOR),
        (Sex.FEMALE, "male", AGAINST),
        (Sex.UNKNOWN, "male", NOT_KNOWN),
        (Sex.FEMALE, "any", None),
        (Sex.FEMALE, "", None),
    ],
)
def test_the_sex_counts_where_it_matters_to_them(
    sex: Sex, asked: str, side: Side | None
) -> None:
    wanted = Wanted(1, sex, needs_uvb_tube=False, under_treatment=False)
    answers = {"sex_wanted": asked} if asked else {}

    found = reasons(wanted, applied(**answers)).get(Matter.SEX)

    assert found == (None if side is None else (side, asked))


@pytest.mark.parametrize(
    ("answer", "side"), [("yes", FOR), ("no", AGAINST), ("", NOT_KNOWN)]
)
def test_an_animal_under_treatment(answer: str, side: Side) -> None:
    wanted = Wanted(1, Sex.UNKNOWN, needs_uvb_tube=False, under_treatment=True)

    found = reasons(wanted, applied(needs_more=answer))

    assert found[Matter.TREATMENT] == (side, answer)
    assert Matter.TREATMENT not in reasons(WANTED, applied(needs_more=answer))


def test_who_asked_for_a_certain_animal() -> None:
    assert reasons(WANTED, applied(animal=1))[Matter.ASKED_FOR] == (FOR, "")
    assert reasons(WANTED, applied(animal=2))[Matter.ASKED_FOR] == (AGAINST, "")
    assert Matter.ASKED_FOR not in reasons(WANTED, applied())


def test_reasons_by_side() -> None:
    found = match(WANTED, applied(kept_before="none", enclosure="ready"))

    assert found.on(FOR) == (Reason(Matter.ENCLOSURE, FOR, "ready"),)
    assert found.on(AGAINST) == (Reason(Matter.EXPERIENCE, AGAINST, "none"),)
    assert found.on(NOT_KNOWN) == (Reason(Matter.MEASURING, NOT_KNOWN, ""),)
