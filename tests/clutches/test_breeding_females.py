"""Who of a site breeds, as of the end of a local day."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from clutches.queries.layings import breeding_females
from clutches.rules.facts import BreedingFemale, Laying, Mating
from core.models import Site
from husbandry.models import Animal, Enclosure
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    EnclosureFactory,
    IntroductionFactory,
    PairingFactory,
    ReproductiveSpellFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    StayFactory,
)
from tests.husbandry.care_lists import queries_of

pytestmark = pytest.mark.django_db
# Winter in Lisbon: local days are days of UTC.
ON = date(2026, 3, 1)
DAY = timedelta(days=1)
NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
LAST = datetime(2026, 3, 1, 23, 59, 59, tzinfo=UTC)
MIDNIGHT = datetime(2026, 3, 2, tzinfo=UTC)


@pytest.fixture
def site() -> Site:
    CareProfileFactory.create()
    made: Site = SiteFactory.create()
    return made


def place(site: Site, *, laying_bin: bool | None = True) -> Enclosure:
    made: Enclosure = EnclosureFactory.create(room=RoomFactory.create(site=site))
    if laying_bin is not None:
        SetupFactory.create(enclosure=made, laying_bin=laying_bin)
    return made


def female(site: Site, where: Enclosure | None = None, **given: Any) -> Animal:
    made: Animal = AnimalFactory.create(**given)
    StayFactory.create(animal=made, enclosure=where or place(site))
    return made


def test_all_that_is_on_record_of_a_female(site: Site) -> None:
    home = place(site)
    dam = female(site, home, code="V-1", name="Juno")
    pairing = PairingFactory.create(dam=dam, sire__code="V-2", sire__name="Bas")
    for at, outcome in (
        (LAST, "mated"),
        (NOON - 3 * DAY, "not_watched"),
        (NOON - 2 * DAY, "refused"),
        (NOON - DAY, "ignored"),
        (NOON, "fought"),
        (MIDNIGHT, "mated"),
    ):
        IntroductionFactory.create(pairing=pairing, at=at, outcome=outcome)
    IntroductionFactory.create(
        pairing=pairing, at=NOON - 5 * DAY, struck_at=NOON, struck_reason="No."
    )
    clutch = ClutchFactory.create(dam=dam, laid_on=ON - 90 * DAY, code="C-1")
    ClutchFactory.create(dam=dam, laid_on=ON + DAY)
    ReproductiveSpellFactory.create(animal=dam, from_on=ON - 2 * DAY)

    assert breeding_females(site=site, on=ON) == (
        BreedingFemale(
            id=dam.pk,
            label="V-1 Juno",
            species=dam.species_id,
            matings=(
                Mating(ON - 3 * DAY, pairing.sire_id, "V-2 Bas", mated=False),
                Mating(ON, pairing.sire_id, "V-2 Bas", mated=True),
            ),
            layings=(Laying(clutch.pk, "C-1", ON - 90 * DAY, 32),),
            gravid_since=ON - 2 * DAY,
            enclosure=home.pk,
            laying_bin=True,
            # An adult female is asked for a bin by husbandry's own review.
            bin_asked=True,
        ),
    )


@pytest.mark.parametrize(
    ("from_on", "until_on", "gravid"),
    [
        (ON, None, True),
        (ON + DAY, None, False),
        (ON - 9 * DAY, ON + DAY, True),
        # The last day is that of laying: at its end she carries none.
        (ON - 9 * DAY, ON, False),
        (ON - 9 * DAY, ON - DAY, False),
    ],
)
def test_a_gravid_female_breeds_until_the_day_before_laying(
    site: Site, from_on: date, until_on: date | None, gravid: bool
) -> None:
    dam = female(site)
    ReproductiveSpellFactory.create(animal=dam, from_on=from_on, until_on=until_on)

    found = breeding_females(site=site, on=ON)

    assert [f.gravid_since for f in found] == ([from_on] if gravid else [])


def test_who_met_nobody_and_carries_nothing_does_not_breed(site: Site) -> None:
    female(site)
    pairing = PairingFactory.create(dam=female(site))
    IntroductionFactory.create(pairing=pairing, at=NOON, outcome="refused")
    male = female(site, sex="male")
    ReproductiveSpellFactory.create(animal=male, from_on=ON)

    assert breeding_females(site=site, on=ON) == ()


def test_only_who_is_at_the_site_at_the_end_of_the_day(site: Site) -> None:
    elsewhere = female(SiteFactory.create())
    moved = AnimalFactory.create()
    StayFactory.create(animal=moved, enclosure=place(site), until_at=NOON)
    left = female(site, status="placed", left_on=ON)
    homeless = AnimalFactory.create()
    StayFactory.create(animal=homeless, enclosure=place(site), until_at=NOON)
    StayFactory.create(
        animal=moved, enclosure=place(SiteFactory.create()), from_at=NOON
    )
    for dam in (elsewhere, moved, left, homeless):
        ClutchFactory.create(dam=dam, laid_on=ON)

    (found,) = breeding_females(site=site, on=ON)

    assert (found.id, found.enclosure, found.laying_bin) == (homeless.pk, None, None)


@pytest.mark.parametrize(
    ("laying_bin", "hatched_on", "found", "asked"),
    [
        (False, date(2024, 9, 1), False, True),
        # Too young for husbandry's rule: here the mating asks for the bin.
        (False, date(2026, 1, 1), False, False),
        (None, date(2024, 9, 1), None, True),
    ],
)
def test_whether_a_bin_is_there_and_who_asks_for_it(
    site: Site, laying_bin: bool | None, hatched_on: date, found: bool, asked: bool
) -> None:
    dam = female(site, place(site, laying_bin=laying_bin), hatched_on=hatched_on)
    ClutchFactory.create(dam=dam, laid_on=ON)

    (one,) = breeding_females(site=site, on=ON)

    assert (one.laying_bin, one.bin_asked) == (found, asked)


def test_without_a_profile_nobody_asks_for_a_bin() -> None:
    here = SiteFactory.create()
    ClutchFactory.create(dam=female(here), laid_on=ON)

    (one,) = breeding_females(site=here, on=ON)

    assert (one.laying_bin, one.bin_asked) == (True, False)


def test_local_days_are_the_sites() -> None:
    CareProfileFactory.create()
    tokyo = SiteFactory.create(time_zone="Asia/Tokyo")
    pairing = PairingFactory.create(dam=female(tokyo))
    # 00:30 on 2 March in Tokyo, and 23:30 on 1 March.
    IntroductionFactory.create(
        pairing=pairing, at=datetime(2026, 3, 1, 15, 30, tzinfo=UTC)
    )
    IntroductionFactory.create(
        pairing=pairing, at=datetime(2026, 3, 1, 14, 30, tzinfo=UTC)
    )

    (one,) = breeding_females(site=tokyo, on=ON)

    assert [mating.on for mating in one.matings] == [ON]


def test_many_take_as_many_queries_as_one(site: Site) -> None:
    def more(number: int) -> int:
        for _ in range(number):
            dam = female(site)
            IntroductionFactory.create(pairing__dam=dam, at=NOON)
            ClutchFactory.create(dam=dam)
            ReproductiveSpellFactory.create(animal=dam)
        return queries_of(lambda: breeding_females(site=site, on=ON))

    assert more(1) == more(4)
