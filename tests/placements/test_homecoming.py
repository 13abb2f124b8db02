"""What to have, to look at and to do, worked out for an animal; and a release.

Of the journey: 17 to 30 °C by a veterinary practice; well, unsedated, unfed, one
animal to a box by the guidelines of CITES as restated.
"""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from django.conf import settings

from clutches.rules.vocabulary import Heel
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.vocabulary import Sex, Standing, Urgency
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import Document
from placements.rules.packets.facts import Background, CareOnRecord, Leaving
from placements.rules.packets.leaving import PaperLine, PrintChoice
from placements.rules.packets.needs import ProfileVersion
from placements.rules.packets.records import SpurLine, TreatmentLine
from placements.rules.vocabulary import (
    CitesSource,
    Paper,
    PaperKind,
    PlacementKind,
    UnitSystem,
)
from tests.placements.known import ANIMAL, NEEDS, facts

SHIPPED = settings.BASE_DIR / "husbandry" / "profiles" / "veiled_chameleon.yaml"
TEXT = Path(SHIPPED).read_text(encoding="utf-8")
VERSION = ProfileVersion(1, "0" * 64, read_profile(TEXT, name=SHIPPED.name))
PERMIT = PaperLine(
    PaperKind.CITES_CERTIFICATE, "CH-7", CitesSource.BRED_IN_CAPTIVITY, "", None, None
)


def document(**more: object) -> Document:
    return build_document(facts(**{"profile": VERSION, **more}))


def bought(**more: object) -> dict[str, str]:
    return {line.topic: line.text for line in document(**more).buy}


def test_things_to_have_are_those_of_the_animal() -> None:
    found = bought()

    assert list(found) == [
        "Enclosure",
        "UVB lamp",
        "Timer",
        "Thermometer",
        "Hygrometer",
        "UV-index meter",
        "Water",
        "Food",
        "Food for the insects",
        "Plain calcium without vitamin D3",
        "Multivitamin with vitamin D3",
        "Laying bin",
        "Scale",
        "Transport box",
    ]
    assert found["Enclosure"] == (
        "At least 41 × 41 × 76 cm (16 × 16 × 30 in) inside, wide, deep and tall. "
        "Grown, it needs at least 61 × 61 × 122 cm (24 × 24 × 48 in)."
    )
    assert found["Laying bin"].startswith("Once she is grown: a bin")
    # Treats come later, and what is never given is not bought.
    assert found["Food"].endswith(
        "roaches, crickets, silkworms, black soldier fly larvae."
    )


def test_grown_animal_needs_its_size_now_and_a_female_her_bin() -> None:
    grown = replace(NEEDS, hatched_on=date(2024, 1, 1))

    female = bought(needs=grown)
    male = bought(needs=replace(grown, sex=Sex.MALE))

    assert female["Enclosure"].startswith("At least 61 × 61 × 122 cm")
    assert "Grown" not in female["Enclosure"]
    assert female["Laying bin"].startswith("A bin of diggable")
    assert "Laying bin" not in male


def test_night_without_uv_asks_for_no_meter_at_night() -> None:
    assert "at night" not in bought()["UV-index meter"]
    assert bought()["UV-index meter"].endswith("basking spot, UV index by day.")


def test_journey_says_how_warm_and_by_whom() -> None:
    (warmth,) = [x for x in document().journey if x.id == "journey-warmth"]

    assert "17 and 30 °C (63 and 86 °F)" in warmth.text
    assert (warmth.basis.source, warmth.basis.standing) == (
        "exotic-vet-transport",
        Standing.PUBLISHED,
    )


@pytest.mark.parametrize("celsius", [17, 30])
def test_second_unit_of_the_journey_is_right(celsius: int) -> None:
    # F = C × 9/5 + 32: 62.6 and 86.
    assert round(celsius * 9 / 5 + 32) in (63, 86)
    (warmth,) = [x for x in document().journey if x.id == "journey-warmth"]
    assert str(round(celsius * 9 / 5 + 32)) in warmth.text


def treated(*, still: bool) -> CareOnRecord:
    on = date(2026, 3, 10)
    line = TreatmentLine("Syrup", "", on, on, None, "", 1, 1, 0, 0, open=still)
    return CareOnRecord(treatments=(line,))


def test_animal_under_treatment_asks_the_vet_first() -> None:
    under, over = (
        document(care=treated(still=still)).before_journey for still in (True, False)
    )

    assert under[0].id == "before-vet"
    assert "before-vet" not in {line.id for line in over}


def test_papers_in_the_bag_are_named() -> None:
    found = document(leaving=Leaving(papers=(PERMIT,))).before_journey

    assert found[-1].text == "Its papers are in the bag: cites certificate CH-7."
    assert "before-papers" not in {line.id for line in document().before_journey}


def test_first_weeks_leave_it_alone_and_name_the_first_weighing() -> None:
    found = document().first_weeks

    assert found[0].text.startswith("The first 14 days: No handling")
    # It leaves on 20 March; two weeks end on 2 April.
    assert "3 Apr 2026" in found[-1].text


def test_without_a_profile_what_holds_for_every_animal_is_said() -> None:
    found = document(profile=None)

    assert (found.day, found.months, found.buy) == (None, (), ())
    assert found.journey
    assert "before-law" in {line.id for line in found.before_journey}
    assert [line.id for line in found.first_weeks] == [
        "first-box",
        "first-food",
        "first-watch",
    ]


def test_whom_to_call_is_in_order_of_urgency_and_ends_with_the_keeper() -> None:
    found = document().calls

    assert [line.urgency for line in found] == [
        Urgency.NOW,
        Urgency.TODAY,
        Urgency.WATCH,
    ]
    assert found[2].text.startswith(
        "Willow Bend Reptiles: 1 Willow Bend, ask@willow-bend.example."
    )


def test_no_line_names_a_dose() -> None:
    found = document()

    texts = [
        line.text
        for part in (found.buy, found.before_journey, found.journey, found.first_weeks)
        for line in part
    ]
    assert not any("mg" in text.split() or "mL" in text.split() for text in texts)


def test_release_leaves_the_home_out_and_keeps_the_history() -> None:
    spurs = (SpurLine(date(2026, 1, 2), Heel.PRESENT, Heel.PRESENT),)
    told = {
        "kind": PlacementKind.RELEASE,
        "background": Background(spur_checks=spurs),
        "leaving": Leaving(papers=(PERMIT,)),
    }

    found = document(**told)

    assert (found.plan, found.day, found.months) == (None, None, ())
    assert (found.buy, found.before_journey, found.first_weeks) == ((), (), ())
    assert (found.calls, found.follow_ups, found.feeding_orders) == ((), (), ())
    assert found.animal == ANIMAL
    assert found.history.spur_checks == spurs
    assert len(found.history.weighings) == 16
    assert found.papers == (PERMIT,)
    ids = {line.id for line in found.cautions}
    assert "caution-never-release" not in ids
    assert {"caution-salmonella", "caution-permits"} <= ids
    assert "journey-straight" not in {line.id for line in found.journey}
    assert "journey-well" in {line.id for line in found.journey}


def test_choice_of_printing_is_part_of_the_document() -> None:
    choice = PrintChoice(UnitSystem.IMPERIAL, Paper.LETTER, "en-US")

    assert document(leaving=Leaving(print=choice)).print == choice
    assert document().print == PrintChoice(UnitSystem.METRIC, Paper.A4, "en")
