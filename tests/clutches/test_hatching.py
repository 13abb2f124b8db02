"""A box is hatched: eggs become animals, in one action, all or none."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clutches.actions.hatching import (
    BornRow,
    HatchingError,
    HatchlingRow,
    hatch_box,
    house_young,
)
from clutches.models import Clutch, Egg, EggBox, EggPlace, Hatchling, SpurCheck
from clutches.rules.vocabulary import Heel
from core.models import AuditEntry
from husbandry.actions.arrivals import take_in_young
from husbandry.actions.profiles import load_shipped_profiles
from husbandry.models import Animal, Enclosure, ReviewRun, Species, Stay, Weighing
from tests.factories import (
    AnimalFactory,
    BoxStayFactory,
    CandidateSireFactory,
    ClutchFactory,
    EggBoxFactory,
    EggFactory,
    EggPlaceFactory,
    EnclosureFactory,
    HatchlingFactory,
    ReviewRunFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
LAID = date(2026, 1, 10)
ON = date(2026, 8, 1)
AT = datetime(2026, 8, 1, 9, tzinfo=UTC)


@pytest.fixture
def species() -> Species:
    load_shipped_profiles(by=None, at=datetime(2025, 1, 1, tzinfo=UTC))
    return Species.objects.get(code="veiled_chameleon")


def make_box(species: Species, eggs: int, code: str = "C-1") -> tuple[EggBox, Clutch]:
    dam = AnimalFactory(species=species)
    clutch = ClutchFactory(
        code=code, dam=dam, laid_on=LAID, eggs_set=eggs, site__time_zone="UTC"
    )
    box = EggBoxFactory(code=f"B-{code}", rows=10, columns=10, made_on=LAID)
    BoxStayFactory(box=box, from_at=datetime(2026, 1, 10, 12, tzinfo=UTC))
    for number in range(1, eggs + 1):
        EggPlaceFactory(
            egg=EggFactory(clutch=clutch, number=number),
            box=box,
            row=(number - 1) // 10 + 1,
            column=(number - 1) % 10 + 1,
            from_at=datetime(2026, 1, 10, 12, tzinfo=UTC),
        )
    return box, clutch


def tubs(many: int) -> list[Enclosure]:
    return [EnclosureFactory(room__site__time_zone="UTC") for _ in range(many)]


def rows(
    clutch: Clutch, homes: list[Enclosure], mass_g: str | None = "1.10"
) -> list[HatchlingRow]:
    return [
        HatchlingRow(
            egg=egg,
            mass_g=Decimal(mass_g) if mass_g else None,
            enclosure=homes[place // 4] if homes else None,
        )
        for place, egg in enumerate(clutch.eggs.order_by("number"))
    ]


def test_eggs_become_animals(species: Species) -> None:
    box, clutch = make_box(species, 3)
    sire = AnimalFactory(male=True, species=species)
    CandidateSireFactory(clutch=clutch, sire=sire, probability=1)
    [home] = tubs(1)
    keeper = UserFactory()

    found = hatch_box(
        box=box, hatched_on=ON, rows=rows(clutch, [home]), by=keeper, at=AT
    ).young

    animals = [h.animal for h in found]
    assert [a.code for a in animals] == ["C-1-01", "C-1-02", "C-1-03"]
    for animal in animals:
        animal.refresh_from_db()
        assert (animal.dam, animal.sire) == (clutch.dam, sire)
        assert (animal.hatched_on, animal.hatched_precision) == (ON, "day")
        assert (animal.origin, animal.status, animal.sex) == (
            *("born_here", "in_care", "unknown"),
        )
    assert [e.state for e in clutch.eggs.all()] == ["hatched"] * 3
    assert not box.places.filter(until_at__isnull=True).exists()
    stays = Stay.objects.filter(enclosure=home).order_by("place")
    assert [(s.place, s.from_at) for s in stays] == [(1, AT), (2, AT), (3, AT)]
    assert [w.mass_g for w in Weighing.objects.all()] == [Decimal("1.10")] * 3
    assert AuditEntry.objects.filter(verb="hatch_box", by=keeper).count() == 3
    assert AuditEntry.objects.filter(verb="take_in_young", by=keeper).count() == 3


def test_an_uncertain_sire_is_not_guessed(species: Species) -> None:
    box, clutch = make_box(species, 1)
    CandidateSireFactory(clutch=clutch, probability=Decimal("0.5"))

    hatched = hatch_box(box=box, hatched_on=ON, rows=rows(clutch, []), by=None, at=AT)

    [found] = hatched.young
    assert found.animal.sire is None


def test_a_hatch_of_yesterday_is_housed_as_that_day_ended(species: Species) -> None:
    box, clutch = make_box(species, 1)
    home = tubs(1)
    run = ReviewRunFactory(
        site=home[0].room.site, on=ON, state="done", stale_since=None
    )

    hatch_box(
        box=box,
        hatched_on=ON,
        rows=rows(clutch, home),
        by=None,
        at=AT + timedelta(days=1),
    )

    then = datetime(2026, 8, 1, 23, 59, tzinfo=ZoneInfo("UTC"))
    assert Stay.objects.get(animal__code="C-1-01").from_at == then
    assert Weighing.objects.get().at == then
    assert ReviewRun.objects.get(pk=run.pk).stale_since is not None


def test_everything_wrong_is_said_at_once_and_nothing_is_written(
    species: Species,
) -> None:
    box, clutch = make_box(species, 4)
    other, strange = make_box(species, 1, "C-2")
    AnimalFactory(code="TAKEN")
    eggs = list(clutch.eggs.order_by("number"))
    Egg.objects.filter(pk=eggs[1].pk).update(
        state="failed", ended_on=date(2026, 7, 1), cause="mould"
    )
    given = [
        HatchlingRow(egg=eggs[0], code="TAKEN"),
        HatchlingRow(egg=eggs[1]),
        HatchlingRow(egg=eggs[2], mass_g=Decimal(11)),
        HatchlingRow(egg=strange.eggs.get()),
    ]

    with pytest.raises(HatchingError) as refused:
        hatch_box(box=box, hatched_on=ON, rows=given, by=None, at=AT)

    told = refused.value.sentence
    assert "egg 1 of C-1: there is an animal TAKEN already" in told
    assert "Egg 2 of C-1 (B1 of B-C-1) failed on 01 Jul 2026 already" in told
    assert "egg 3 of C-1: 11.00 g is not plausible" in told
    assert "egg 1 of C-2 does not lie in box B-C-1" in told
    assert not Hatchling.objects.exists()
    assert not Weighing.objects.exists()
    assert clutch.eggs.filter(state="hatched").count() == 0
    assert other.places.filter(until_at__isnull=True).count() == 1


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (LAID, "laid"),
        (date(2026, 8, 2), "has not come"),
    ],
)
def test_a_day_that_cannot_be(species: Species, on: date, said: str) -> None:
    box, clutch = make_box(species, 1)

    with pytest.raises(HatchingError) as refused:
        hatch_box(box=box, hatched_on=on, rows=rows(clutch, []), by=None, at=AT)

    assert said in refused.value.sentence


def test_a_hatch_earlier_than_any_on_record_is_kept_and_remarked_on(
    species: Species,
) -> None:
    # Stahl's review: a clutch laid in September 1990 hatched in March 1991, so after
    # 152 days at least; nothing that was found is shorter.
    for number, (days, odd) in enumerate([(151, True), (152, False)]):
        box, clutch = make_box(species, 2, f"C-{number}")
        on = LAID + timedelta(days=days)

        hatched = hatch_box(
            box=box, hatched_on=on, rows=rows(clutch, []), by=None, at=AT
        )

        assert len(hatched.young) == 2
        assert [said[: said.index(";")] for said in hatched.remarks] == [
            f"C-{number} hatched on day {days} after laying"
        ] * odd


def test_more_young_than_eggs_are_refused(species: Species) -> None:
    # Three were written down before anybody hatched the box; who they are is on record.
    box, clutch = make_box(species, 4)
    for _ in range(3):
        HatchlingFactory(clutch=clutch, egg=None)

    with pytest.raises(HatchingError, match="4 of its eggs have not failed, 3 animals"):
        hatch_box(box=box, hatched_on=ON, rows=rows(clutch, []), by=None, at=AT)
    one = hatch_box(
        box=box, hatched_on=ON, rows=rows(clutch, [])[:1], by=None, at=AT
    ).young

    assert len(one) == 1
    assert Hatchling.objects.count() == 4


def test_too_many_for_one_tub(species: Species) -> None:
    box, clutch = make_box(species, 6)
    [home] = tubs(1)

    with pytest.raises(HatchingError, match="more than may live together"):
        hatch_box(
            box=box,
            hatched_on=ON,
            rows=[HatchlingRow(egg=egg, enclosure=home) for egg in clutch.eggs.all()],
            by=None,
            at=AT,
        )


def test_another_kind_lives_there(species: Species) -> None:
    box, clutch = make_box(species, 1)
    [home] = tubs(1)
    StayFactory(animal=AnimalFactory(species__code="other"), enclosure=home)

    with pytest.raises(HatchingError, match=home.code):
        hatch_box(box=box, hatched_on=ON, rows=rows(clutch, [home]), by=None, at=AT)


def test_nothing_hatched_is_refused(species: Species) -> None:
    box, _ = make_box(species, 1)

    with pytest.raises(HatchingError, match="at least one"):
        hatch_box(box=box, hatched_on=ON, rows=[], by=None, at=AT)


def test_one_egg_twice_is_refused(species: Species) -> None:
    box, clutch = make_box(species, 1)

    with pytest.raises(HatchingError, match="More than one thing is said"):
        hatch_box(box=box, hatched_on=ON, rows=rows(clutch, []) * 2, by=None, at=AT)


def test_ninety_eggs_take_as_many_queries_as_three(species: Species) -> None:
    counts = []
    for code, many in (("C-3", 3), ("C-90", 90)):
        box, clutch = make_box(species, many, code)
        homes = tubs((many + 3) // 4)
        given = rows(clutch, homes)
        with CaptureQueriesContext(connection) as asked:
            hatch_box(box=box, hatched_on=ON, rows=given, by=None, at=AT)
        counts.append(len(asked))

    # SQLite takes 999 parameters a statement: ninety animals are two of them.
    split = 1 if connection.vendor == "sqlite" else 0
    assert counts == [counts[0], counts[0] + split]
    assert Animal.objects.filter(hatched_on=ON).count() == 93


def test_live_young_are_registered_up_to_their_number(species: Species) -> None:
    clutch = ClutchFactory(
        code="L-1",
        kind="live_young",
        dam=AnimalFactory(species=species),
        laid_on=ON,
        eggs_set=0,
        eggs_infertile=0,
        born_alive=2,
        born_dead=1,
        site__time_zone="UTC",
    )

    found = house_young(
        clutch=clutch, rows=[BornRow(mass_g=Decimal("0.9"))] * 2, by=None, at=AT
    )

    assert [h.animal.code for h in found] == ["L-1-01", "L-1-02"]
    assert found[0].egg is None
    with pytest.raises(HatchingError, match="0 of them are not registered"):
        house_young(clutch=clutch, rows=[BornRow()], by=None, at=AT)


def test_eggs_are_no_live_young(species: Species) -> None:
    _, clutch = make_box(species, 1)

    with pytest.raises(HatchingError, match="clutch of eggs"):
        house_young(clutch=clutch, rows=[BornRow()], by=None, at=AT)


def test_heels_that_were_looked_at_are_on_record(species: Species) -> None:
    box, clutch = make_box(species, 2)
    keeper = UserFactory()
    given = [
        replace(row, heels=heels)
        for row, heels in zip(
            rows(clutch, []),
            [(Heel.PRESENT, Heel.PRESENT), (Heel.ABSENT, Heel.UNCLEAR)],
            strict=True,
        )
    ]

    found = hatch_box(box=box, hatched_on=ON, rows=given, by=keeper, at=AT).young

    for hatchling in found:
        hatchling.animal.refresh_from_db()
    assert [(h.animal.sex, h.animal.sex_confidence) for h in found] == [
        ("male", "likely"),
        ("unknown", "uncertain"),
    ]
    assert SpurCheck.objects.filter(looked_by=keeper).count() == 2


def test_heels_of_a_species_without_the_mark_hatch_nothing() -> None:
    box, clutch = make_box(SpeciesFactory(code="panther_chameleon"), 1)
    given = [replace(r, heels=(Heel.ABSENT, Heel.ABSENT)) for r in rows(clutch, [])]

    with pytest.raises(HatchingError, match="cannot be sexed by heel spur"):
        hatch_box(box=box, hatched_on=ON, rows=given, by=None, at=AT)

    assert not Hatchling.objects.exists()


def test_eggs_of_two_species_do_not_hatch_at_once(species: Species) -> None:
    box, clutch = make_box(species, 1)
    panther = SpeciesFactory(code="panther", common_name="Panther")
    _, strange = make_box(panther, 1, "C-2")
    EggPlace.objects.filter(egg__clutch=strange).update(box=box, row=5)
    given = [*rows(clutch, [], None), *rows(strange, [], None)]

    with pytest.raises(HatchingError, match="hatch one species at a time"):
        hatch_box(box=box, hatched_on=ON, rows=given, by=None, at=AT)

    assert not Hatchling.objects.exists()


def test_a_dam_that_cannot_be_is_told(species: Species) -> None:
    box, clutch = make_box(species, 2)
    Animal.objects.filter(pk=clutch.dam_id).update(
        hatched_on=ON, arrived_on=ON, hatched_precision="day"
    )

    with pytest.raises(HatchingError) as refused:
        hatch_box(box=box, hatched_on=ON, rows=rows(clutch, []), by=None, at=AT)

    # Once, however many of her young are in the box.
    assert refused.value.sentence.count(str(Animal.objects.get(pk=clutch.dam_id))) == 1
    assert not Hatchling.objects.exists()


def test_nobody_is_taken_in_where_nobody_is_named(species: Species) -> None:
    taken = take_in_young(
        species=species, site=SiteFactory(), hatched_on=ON, rows=[], by=None, at=AT
    )

    assert taken == []
