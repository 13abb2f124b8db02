"""Daily care on an animal's page: in words, each with on whose word it stands."""

from datetime import date, timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.utils import timezone

import husbandry
from husbandry.models import Animal
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from staff.care_needs import daily_care, settling
from tests.factories import AnimalFactory
from tests.nightly.world import World
from tests.rules.profiles.samples import SMALL

PATH = Path(husbandry.__file__).parent / "profiles" / "veiled_chameleon.yaml"
ARRIVED_ON = date(2027, 3, 1)
SOURCED = ", source: common-practice, standing: common_practice}\n"


@pytest.fixture(scope="module")
def veiled() -> Profile:
    return read_profile(PATH.read_text(encoding="utf-8"), name=PATH.name)


def small(rows: str) -> Profile:
    return read_profile(SMALL + rows, name="small.yaml")


def newcomer(*, hatched_on: date | None = None) -> Animal:
    return Animal(arrived_on=ARRIVED_ON, hatched_on=hatched_on)


def test_daily_care_is_told_with_its_source(veiled: Profile) -> None:
    told = {need.what: need for need in daily_care(veiled, "adult")}

    # common practice, no source: 2 to 4 minutes of misting, insects fed 12 hours
    # ahead, D3 twice a month; feeding 2 hours after lights-on is from memory.
    assert list(told) == [
        "Plain calcium without vitamin D3",
        "Multivitamin with vitamin D3",
        "Misting, before lights-on",
        "Misting, after lights-off",
        "Food of the insects",
        "UVB tube",
    ]
    tube = told.pop("UVB tube")
    assert told["Misting, before lights-on"].value.startswith("2–4 minutes. While it")
    assert told["Food of the insects"].value.startswith(
        "12 hours before they are offered, which is 2 hours after lights-on. "
    )
    assert told["Multivitamin with vitamin D3"].value.startswith(
        "on day 1, 15 of the month, on at most 2 days of a month; it contains vitamin "
        "D3, of which too much is toxic. "
    )
    assert told["Plain calcium without vitamin D3"].value == (
        "at every feeding. A light dusting on the insects."
    )
    assert all("common practice, no source" in n.source for n in told.values())
    # nevarez-lamps: a tube lost half in six months; four weeks are a convention.
    assert tube.value.startswith("measured every 28 days, replaced after 6 months. A")
    assert tube.source.startswith("Nevarez: lighting")
    assert "Measuring every four weeks is a convention" in tube.note


@pytest.mark.parametrize(
    ("ends", "value"),
    [
        ("replace_after_hours: 4000", "replaced after 4000 h of burning."),
        ("replace_after_months: 1", "replaced after 1 month."),
        (
            "replace_after_hours: 4000, replace_after_months: 12",
            "replaced after 12 months or 4000 h of burning, whichever is first.",
        ),
    ],
)
def test_what_ends_a_lamp_is_told(ends: str, value: str) -> None:
    row = f"lamps:\n  - {{id: l, kind: heat, meter_every_days: 1, {ends}{SOURCED}"

    *_, told = daily_care(small(row), None)

    assert (told.what, told.value) == ("Heat lamp", f"measured every day, {value}")


def test_a_profile_that_says_nothing_of_it_is_told_so_by_silence() -> None:
    profile = small("")

    assert [n.what for n in daily_care(profile, None)] == ["Calcium", "Vitamins"]
    assert list(settling(profile, newcomer(), ARRIVED_ON)) == []


@pytest.mark.parametrize(("day", "told"), [(0, True), (13, True), (14, False)])
def test_a_newcomer_is_left_alone_for_two_weeks(
    veiled: Profile, day: int, told: bool
) -> None:
    # common practice, no source: at least two weeks.
    found = list(settling(veiled, newcomer(), ARRIVED_ON + timedelta(days=day)))

    assert [n.what for n in found] == ["Settling in"] * told
    for need in found:
        assert need.value.startswith("left alone until 14 Mar 2027. No handling")


@pytest.mark.django_db
def test_the_page_shows_it(world: World, keeper: Client) -> None:
    today = timezone.localdate()
    animal = AnimalFactory.create(
        species=world.animal.species, hatched_on=None, hatched_precision="unknown",
        arrived_on=today,
    )  # fmt: skip

    text = keeper.get(f"/animals/{animal.pk}/").content.decode()

    for what in ("Settling in", "UVB tube", "Misting, after lights-off"):
        assert f"<dt>{what}</dt>" in text
    assert text.count("<dt>Misting, ") == 2
