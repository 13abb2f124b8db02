"""Nights folded into findings, whatever the order in which they were reviewed."""

import random
from datetime import date, timedelta
from itertools import permutations

import pytest

from core.errors import DomainError
from core.models import AuditEntry, Site
from husbandry.actions.findings import acknowledge_finding, write_sightings
from husbandry.models import Finding, ReviewRun, Sighting
from husbandry.rules.findings import Seen
from husbandry.rules.vocabulary import FindingKind, ReviewState, Urgency
from tests.factories import NOW, SiteFactory, UserFactory

pytestmark = pytest.mark.django_db
FIRST = date(2026, 3, 1)
KEY = "weight_loss:animal:1"


def night(n: int) -> date:
    return FIRST + timedelta(days=n)


def seen(letter: str, on: date, *, key: str = KEY) -> list[Seen]:
    if letter == "-":
        return []
    return [
        Seen(
            key=key,
            kind=FindingKind.WEIGHT_LOSS,
            urgency=Urgency.TODAY,
            decided=letter == "S",
            animal=None,
            enclosure=None,
            probe=None,
            evidence={"night": on.isoformat()} if letter == "S" else {},
        )
    ]


def review(site: Site, n: int, letter: str) -> None:
    """Stand in for a review of one night that says one letter of one key."""
    ReviewRun.objects.create(
        site=site, on=night(n), state=ReviewState.DONE.value, started_at=NOW
    )
    write_sightings(seen(letter, night(n)), site=site, on=night(n), at=NOW)


def findings() -> list[tuple[int, int, int | None, int, str]]:
    """Opened, last seen, closed (as night numbers), nights seen, evidence's night."""
    return [
        (
            (f.opened_on - FIRST).days,
            (f.last_seen_on - FIRST).days,
            None if f.closed_on is None else (f.closed_on - FIRST).days,
            f.nights_seen,
            f.evidence["night"],
        )
        for f in Finding.objects.filter(withdrawn_on__isnull=True).order_by("opened_on")
    ]


@pytest.mark.parametrize(
    ("letters", "expected"),
    [
        ("-", []),
        ("?", []),
        ("S", [(0, 0, None, 1, "2026-03-01")]),
        ("SS-", [(0, 1, 2, 2, "2026-03-02")]),
        ("S?S", [(0, 2, None, 2, "2026-03-03")]),
        ("S-S?", [(0, 0, 1, 1, "2026-03-01"), (2, 2, None, 1, "2026-03-03")]),
    ],
)
def test_findings_follow_the_nights(
    letters: str, expected: list[tuple[int, int, int | None, int, str]]
) -> None:
    site = SiteFactory.create()

    for n, letter in enumerate(letters):
        review(site, n, letter)

    assert findings() == expected


@pytest.mark.parametrize("order", list(permutations(range(4))))
def test_findings_are_the_same_in_every_order_of_nights(order: tuple[int, ...]) -> None:
    site = SiteFactory.create()

    for n in order:
        review(site, n, "S-SS"[n])

    assert findings() == [
        (0, 0, 1, 1, "2026-03-01"),
        (2, 3, None, 2, "2026-03-04"),
    ]


def test_a_night_reviewed_again_changes_nothing_but_keeps_rows() -> None:
    site = SiteFactory.create()
    for n, letter in enumerate("SSS"):
        review(site, n, letter)
    before = (findings(), Finding.objects.get().pk, Sighting.objects.count())

    review(site, 1, "S")
    review(site, 2, "S")

    assert (findings(), Finding.objects.get().pk, Sighting.objects.count()) == before


def test_a_night_that_proves_well_later_splits_a_finding_and_keeps_its_identity() -> (
    None
):
    site = SiteFactory.create()
    for n in range(3):
        review(site, n, "S")
    first = Finding.objects.get().pk

    review(site, 1, "-")

    assert [f.pk for f in Finding.objects.filter(opened_on=FIRST)] == [first]
    assert findings() == [(0, 0, 1, 1, "2026-03-01"), (2, 2, None, 1, "2026-03-03")]


def test_an_acknowledged_finding_that_vanishes_is_withdrawn_and_can_come_back() -> None:
    site, person = SiteFactory.create(), UserFactory.create()
    review(site, 0, "S")
    finding = Finding.objects.get()
    acknowledge_finding(finding=finding, by=person, at=NOW, note="weighed again")

    review(site, 0, "-")

    finding.refresh_from_db()
    assert finding.withdrawn_on == FIRST
    assert finding.acknowledgements.count() == 1

    review(site, 0, "S")

    finding.refresh_from_db()
    assert (finding.withdrawn_on, finding.closed_on) == (None, None)
    assert Finding.objects.count() == 1


def test_two_sites_do_not_touch_each_other() -> None:
    one, other = SiteFactory.create(), SiteFactory.create()
    review(one, 0, "S")

    review(other, 1, "-")

    assert findings() == [(0, 0, None, 1, "2026-03-01")]


@pytest.mark.parametrize("rows", [1, 40])
def test_folding_takes_the_same_number_of_queries_for_any_number_of_findings(
    rows: int, django_assert_num_queries: object
) -> None:
    site = SiteFactory.create()
    ReviewRun.objects.create(
        site=site, on=FIRST, state=ReviewState.DONE.value, started_at=NOW
    )
    many = [s for n in range(rows) for s in seen("S", FIRST, key=f"{KEY}{n}")]

    with django_assert_num_queries(10):  # type: ignore[operator]
        write_sightings(many, site=site, on=FIRST, at=NOW)


def test_acknowledging_is_audited_and_refused_once_closed() -> None:
    site, person = SiteFactory.create(), UserFactory.create()
    review(site, 0, "S")
    finding = Finding.objects.get()

    acknowledge_finding(finding=finding, by=person, at=NOW, note="seen")

    entry = AuditEntry.objects.get(verb="acknowledge_finding")
    assert (entry.by, entry.after["note"]) == (person, "seen")

    review(site, 1, "-")
    finding.refresh_from_db()
    with pytest.raises(DomainError, match="closed on 2026-03-02"):
        acknowledge_finding(finding=finding, by=person, at=NOW)


@pytest.mark.parametrize("letter", ["S", "?"])
def test_a_night_that_proves_bad_later_joins_what_was_closed_with_what_is_open(
    letter: str,
) -> None:
    site = SiteFactory.create()
    for n, said in enumerate("S-S"):
        review(site, n, said)
    first = Finding.objects.get(opened_on=FIRST).pk

    review(site, 1, letter)

    nights_seen = 3 if letter == "S" else 2
    assert findings() == [(0, 2, None, nights_seen, "2026-03-03")]
    assert Finding.objects.get(withdrawn_on__isnull=True).pk == first


def folded_plainly(letters: dict[int, str]) -> list[tuple[int, int, int | None, int]]:
    """Fold what nights say last, in their order, without any record."""
    spells: list[list[int | None]] = []
    for n, letter in sorted(letters.items()):
        is_open = bool(spells) and spells[-1][2] is None
        if letter == "S" and not is_open:
            spells.append([n, n, None, 1])
        elif letter == "S":
            spells[-1][1], spells[-1][3] = n, (spells[-1][3] or 0) + 1
        elif letter == "-" and is_open:
            spells[-1][2] = n
    return [tuple(spell) for spell in spells]  # type: ignore[misc] # four columns


@pytest.mark.parametrize(
    "reviews",
    [
        # A night that was missed says that it was over sooner.
        [(0, "S"), (2, "-"), (1, "-")],
        # A night before two findings leaves both as they are, and adds none.
        [(2, "S"), (3, "-"), (4, "S"), (1, "-")],
        # So does a night reviewed again after an older finding was withdrawn.
        [(3, "-"), (0, "S"), (5, "-"), (0, "-"), (2, "S"), (5, "S")],
        *(
            [(r.randrange(7), r.choice("SS--?")) for _ in range(16)]
            for r in map(random.Random, range(12))
        ),
    ],
)
def test_nights_reviewed_in_any_order_and_again_fold_as_if_in_order(
    reviews: list[tuple[int, str]],
) -> None:
    site = SiteFactory.create()
    said: dict[int, str] = {}

    for n, letter in reviews:
        review(site, n, letter)
        said[n] = letter

        assert [f[:4] for f in findings()] == folded_plainly(said)
