"""Of each finding other programs are told once that it opened, once that it is over."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from django.db import transaction

from core.models import Delivery, Notice, Site
from husbandry.actions.findings import write_sightings
from husbandry.models import Finding, ReviewRun
from husbandry.rules.findings import Turn, turn_of
from husbandry.rules.vocabulary import ReviewState
from tests.factories import NOW, AnimalFactory, SiteFactory, WebhookFactory
from tests.husbandry.test_findings import FIRST, KEY, night, review, seen

pytestmark = pytest.mark.django_db


@pytest.fixture
def site() -> Site:
    WebhookFactory.create(kinds=["finding.opened", "finding.closed"])
    return SiteFactory.create()


def told() -> list[str]:
    """What was told, in order, each with the number of the finding among all."""
    keys = list(Finding.objects.order_by("pk").values_list("pk", flat=True))
    return [
        f"{notice.kind.removeprefix('finding.')} {keys.index(notice.subject_id)}"
        for notice in Notice.objects.order_by("pk")
    ]


@pytest.mark.parametrize(
    ("was_open", "is_open", "turn"),
    [
        (None, True, Turn.OPENED),
        (None, False, None),
        (True, True, None),
        (True, False, Turn.CLOSED),
        (False, False, None),
        (False, True, Turn.OPENED),
    ],
)
def test_how_a_finding_turns(
    was_open: bool | None, is_open: bool, turn: Turn | None
) -> None:
    assert turn_of(was_open, is_open) is turn


@pytest.mark.parametrize(
    ("letters", "expected"),
    [
        ("", []),
        ("-", []),
        ("S", ["opened 0"]),
        ("SSS", ["opened 0"]),
        ("S?S", ["opened 0"]),
        ("SS-", ["opened 0", "closed 0"]),
        ("S--", ["opened 0", "closed 0"]),
        ("S-S", ["opened 0", "closed 0", "opened 1"]),
    ],
)
def test_it_is_told_once(letters: str, expected: list[str], site: Site) -> None:
    for n, letter in enumerate(letters):
        review(site, n, letter)

    assert told() == expected


def test_a_night_reviewed_again_that_says_the_same_tells_nothing(site: Site) -> None:
    for n, letter in enumerate("SS-"):
        review(site, n, letter)
    before = told()

    for n, letter in enumerate("SS-"):
        write_sightings(seen(letter, night(n)), site=site, on=night(n), at=NOW)

    assert told() == before == ["opened 0", "closed 0"]


def test_what_is_withdrawn_is_over(site: Site) -> None:
    review(site, 0, "S")

    write_sightings([], site=site, on=FIRST, at=NOW)

    assert told() == ["opened 0", "closed 0"]
    assert [n.data["withdrawn"] for n in Notice.objects.order_by("pk")] == [False, True]

    write_sightings(seen("S", FIRST), site=site, on=FIRST, at=NOW)

    assert told() == ["opened 0", "closed 0", "opened 0"]


def test_what_was_over_before_anybody_wrote_it_is_no_news(site: Site) -> None:
    review(site, 1, "-")

    review(site, 0, "S")

    assert Finding.objects.get().closed_on == night(1)
    assert told() == []


def test_what_is_told_of_it(site: Site) -> None:
    animal = AnimalFactory.create(code="V-7")
    ReviewRun.objects.create(
        site=site, on=FIRST, state=ReviewState.DONE.value, started_at=NOW
    )
    (one,) = seen("S", FIRST)

    write_sightings([replace(one, animal=animal.pk)], site=site, on=FIRST, at=NOW)

    notice = Notice.objects.get()
    assert (notice.subject, notice.subject_id) == (
        "husbandry.finding",
        Finding.objects.get().pk,
    )
    assert notice.data == {
        "kind": "weight_loss",
        "urgency": "today",
        "site": site.code,
        "animal": "V-7",
        "enclosure": None,
        "probe": None,
        "opened_on": "2026-03-01",
        "closed_on": None,
        "withdrawn": False,
    }
    assert Delivery.objects.get().state == "waiting"


@pytest.mark.parametrize("rows", [1, 40])
def test_a_night_that_is_listened_to_takes_as_many_queries_for_any_number(
    rows: int, site: Site, django_assert_num_queries: Callable[..., Any]
) -> None:
    ReviewRun.objects.create(
        site=site, on=FIRST, state=ReviewState.DONE.value, started_at=NOW
    )
    many = [s for n in range(rows) for s in seen("S", FIRST, key=f"{KEY}{n}")]

    # Ten, as where nobody listens; the findings with their codes, the notices, the
    # deliveries, and the transaction around these two.
    with django_assert_num_queries(15):
        write_sightings(many, site=site, on=FIRST, at=NOW)

    assert Delivery.objects.count() == rows


def test_a_night_that_is_rolled_back_tells_nothing(site: Site) -> None:
    with transaction.atomic():
        review(site, 0, "S")
        assert told() == ["opened 0"]
        transaction.set_rollback(True)

    assert Notice.objects.count() == Finding.objects.count() == 0
