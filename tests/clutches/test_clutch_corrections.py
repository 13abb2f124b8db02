"""What was recorded of a clutch is mended, as far as its eggs on record allow."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from clutches.actions.clutches import correct_clutch, record_laying
from clutches.models import CandidateSire, Clutch, Egg
from clutches.queries.clutches import ClutchCounts, clutch_counts
from clutches.rules.layings.counts import ClutchError
from core.models import AuditEntry
from husbandry.models import Animal
from tests.clutches.nest import make_nest
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CandidateSireFactory,
    CareProfileFactory,
    ClutchFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    HatchlingFactory,
    IntroductionFactory,
    PairingFactory,
    SiteFactory,
    UserFactory,
)
from tests.husbandry.care_lists import judged, queries_of, stale_days

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def clutch() -> Clutch:
    """Five eggs laid by Juno three days ago."""
    CareProfileFactory.create()
    dam = AnimalFactory.create(code="V-1", name="Juno")
    return record_laying(
        code="C-01",
        dam=dam,
        species=dam.species,
        site=SiteFactory.create(),
        laid_on=TODAY - 3 * DAY,
        eggs_set=5,
        eggs_infertile=0,
        eggs_broken=0,
        mass_g=None,
        plan=None,
        pairing=None,
        note="",
        by=None,
        at=NOW,
    ).clutch


def mend(clutch: Clutch, **changes: Any) -> tuple[str, ...]:
    said: dict[str, Any] = {"by": None, "at": NOW, "reason": "Counted again."}
    _, remarks = correct_clutch(clutch=clutch, **(said | changes))
    clutch.refresh_from_db()
    return remarks


def numbers(clutch: Clutch) -> list[int]:
    return list(clutch.eggs.order_by("number").values_list("number", flat=True))


def test_what_it_said_stays_in_the_audit_trail(clutch: Clutch) -> None:
    person = UserFactory.create()

    mend(clutch, code=" C-1A ", mass_g=Decimal("6.5"), by=person)

    assert (clutch.code, clutch.mass_g) == ("C-1A", Decimal("6.50"))
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.by, entry.reason) == (
        "correct_clutch",
        person,
        "Counted again.",
    )
    assert entry.before == {"code": "C-01", "mass_g": None}
    assert entry.after == {"code": "C-1A", "mass_g": "6.5"}


def test_more_eggs_get_the_next_numbers_and_fewer_lose_the_last(clutch: Clutch) -> None:
    mend(clutch, eggs_set=7)
    assert numbers(clutch) == [1, 2, 3, 4, 5, 6, 7]

    mend(clutch, eggs_set=4, eggs_broken=1)
    assert numbers(clutch) == [1, 2, 3, 4]


def egg(clutch: Clutch, number: int = 5) -> Egg:
    return clutch.eggs.get(number=number)


def ended(clutch: Clutch) -> None:
    Egg.objects.filter(pk=egg(clutch).pk).update(
        state="failed", cause="mould", ended_on=TODAY - DAY
    )


TRACKS = {
    "put into box": lambda clutch: EggPlaceFactory.create(
        egg=egg(clutch), from_at=NOW - 2 * DAY
    ),
    "looked at on 01 Mar 2026": lambda clutch: EggCheckFactory.create(
        egg=egg(clutch), at=NOW - DAY
    ),
    "failed": ended,
    "hatched": lambda clutch: HatchlingFactory.create(clutch=clutch, egg=egg(clutch)),
}


@pytest.mark.parametrize("words", TRACKS)
def test_no_egg_that_is_on_record_is_taken_away(clutch: Clutch, words: str) -> None:
    TRACKS[words](clutch)

    with pytest.raises(ClutchError, match=words) as refusal:
        mend(clutch, eggs_set=4)

    assert refusal.value.fields == {"eggs_set": "5 or more"}
    mend(clutch, eggs_set=6)
    assert numbers(clutch) == [1, 2, 3, 4, 5, 6]


def test_it_was_not_laid_after_its_eggs_were_looked_at(clutch: Clutch) -> None:
    EggCheckFactory.create(egg=egg(clutch), at=NOW - DAY)

    with pytest.raises(ClutchError, match="on record since 01 Mar 2026"):
        mend(clutch, laid_on=TODAY)
    mend(clutch, laid_on=TODAY - DAY)

    assert clutch.laid_on == TODAY - DAY


def test_eggs_lie_nowhere_before_they_were_laid(clutch: Clutch) -> None:
    place = EggPlaceFactory.create(egg=egg(clutch), from_at=NOW - 3 * DAY)

    mend(clutch, laid_on=TODAY - DAY)

    place.refresh_from_db()
    # Lisbon keeps UTC in winter.
    assert place.from_at == datetime(2026, 3, 1, tzinfo=UTC)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"reason": " "}, "what was wrong"),
        ({}, "Nothing would change"),
        ({"eggs_set": 5}, "Nothing would change"),
        ({"laid_on": TODAY + DAY}, "has not come yet"),
        ({"eggs_set": 0}, "0 eggs in all"),
        ({"born_alive": 3}, "of another kind; born alive"),
        ({"code": ""}, "no code for a clutch"),
    ],
)
def test_a_correction_that_cannot_be_is_refused_whole(
    clutch: Clutch, changes: dict[str, Any], words: str
) -> None:
    entries = AuditEntry.objects.count()

    with pytest.raises(ClutchError, match=words):
        mend(clutch, **changes)

    clutch.refresh_from_db()
    assert (clutch.code, clutch.eggs_set, clutch.born_alive) == ("C-01", 5, 0)
    assert AuditEntry.objects.count() == entries


def test_what_is_unusual_is_remarked(clutch: Clutch) -> None:
    assert mend(clutch, eggs_infertile=113) == (
        "118 eggs are far more than usual (up to 90): count again.",
    )


def test_a_clutch_with_young_keeps_its_dam(clutch: Clutch) -> None:
    other = AnimalFactory.create()
    HatchlingFactory.create(clutch=clutch, egg=None)

    with pytest.raises(ClutchError, match="keeps its dam"):
        mend(clutch, dam=other)


def test_fewer_young_than_are_on_record_were_not_born() -> None:
    litter = ClutchFactory.create(
        kind="live_young", eggs_set=0, eggs_infertile=0, born_alive=3
    )
    HatchlingFactory.create_batch(2, clutch=litter, egg=None)

    with pytest.raises(ClutchError, match="2 animals on record came from it"):
        mend(litter, born_alive=1)
    mend(litter, born_alive=2)


def met(dam: Animal, days_ago: int) -> Animal:
    pairing = PairingFactory.create(dam=dam)
    IntroductionFactory.create(pairing=pairing, at=NOW - days_ago * DAY)
    sire: Animal = pairing.sire
    return sire


def sires(clutch: Clutch) -> list[int]:
    return list(
        CandidateSire.objects.filter(clutch=clutch).values_list("sire", flat=True)
    )


def test_another_dam_or_day_puts_forward_other_sires(clutch: Clutch) -> None:
    other = AnimalFactory.create()
    hers = met(other, 30)

    mend(clutch, dam=other)
    assert sires(clutch) == [hers.pk]

    mend(clutch, laid_on=TODAY - 31 * DAY)
    assert sires(clutch) == []


def test_sires_that_somebody_named_stay(clutch: Clutch) -> None:
    told = CandidateSireFactory.create(clutch=clutch, basis="laboratory")
    other = AnimalFactory.create()
    met(other, 30)

    mend(clutch, dam=other)

    assert sires(clutch) == [told.sire_id]


@pytest.mark.parametrize(
    ("changes", "stale"),
    [
        ({"code": "C-9"}, set()),
        ({"note": "Soft shells."}, set()),
        ({"eggs_set": 6}, {1, 2, 3}),
        ({"laid_on": TODAY - 2 * DAY}, {1, 2, 3}),
        ({"laid_on": TODAY - 4 * DAY}, {1, 2, 3, 4}),
    ],
)
def test_nights_that_judged_by_it_are_stale(
    clutch: Clutch, changes: dict[str, Any], stale: set[int]
) -> None:
    judged(clutch.site, 1, 2, 3, 4, 5)

    mend(clutch, **changes)

    assert stale_days(clutch.site) == stale


def test_so_are_those_of_another_site_where_its_eggs_lie(clutch: Clutch) -> None:
    nest = make_nest(eggs=0, site="mill")
    EggPlaceFactory.create(egg=egg(clutch), box=nest.box, from_at=NOW - 3 * DAY)
    judged(nest.site, 1, 2, 3, 4)

    mend(clutch, eggs_set=6)

    assert stale_days(nest.site) == {1, 2, 3}


# How eggs stand.


def test_eggs_are_counted_by_their_state() -> None:
    clutch, empty = ClutchFactory.create(), ClutchFactory.create()
    EggFactory.create_batch(3, clutch=clutch)
    EggFactory.create(clutch=clutch, state="pipped", pipped_on=TODAY)
    hatched = EggFactory.create(clutch=clutch, state="hatched", ended_on=TODAY)
    EggFactory.create(clutch=clutch, state="failed", cause="mould", ended_on=TODAY)
    HatchlingFactory.create(clutch=clutch, egg=hatched)

    assert clutch_counts(clutch_ids=[clutch.pk, empty.pk]) == {
        clutch.pk: ClutchCounts(3, 1, 1, 1, 1),
        empty.pk: ClutchCounts(),
    }
    assert queries_of(lambda: clutch_counts(clutch_ids=[clutch.pk])) == 2
