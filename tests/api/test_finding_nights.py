"""Findings over the API, night by night, and when else the same was wrong."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from rest_framework.test import APIClient

from core.roles import Role
from husbandry.models import Finding
from tests.api.test_findings import FINDINGS, LOSS
from tests.factories import AnimalFactory, FindingFactory, SightingFactory, UserFactory

pytestmark = pytest.mark.django_db


def _loss(**more: Any) -> Finding:
    given = {
        "animal": more.pop("animal", None) or AnimalFactory(code="V-1"),
        "key": "weight_loss:animal:1",
        "kind": "weight_loss",
        "urgency": "today",
        "evidence": LOSS,
        "opened_on": date(2026, 3, 2),
        **more,
    }
    found: Finding = FindingFactory(**given)
    return found


def _night(finding: Finding, day: int, **more: Any) -> None:
    given = {
        "site": finding.site,
        "key": finding.key,
        "kind": finding.kind,
        "animal": finding.animal,
        "on": date(2026, 3, day),
        "urgency": "today",
        "evidence": LOSS,
        **more,
    }
    SightingFactory(**given)


def _read(client: APIClient, finding: Finding) -> Any:
    return client.get(f"{FINDINGS}{finding.pk}/nights/").json()


def test_each_night_with_its_own_numbers(viewer: APIClient) -> None:
    finding = _loss(last_seen_on=date(2026, 3, 4), nights_seen=2)
    later = {**LOSS, "to_g": "91.0", "days": 11, "change_pct": -9.0}
    _night(finding, 2, urgency="watch")
    _night(finding, 3, seen=False, evidence={})
    _night(finding, 4, evidence=later)

    told = _read(viewer, finding)

    assert told["finding"] == finding.pk
    assert told["nights"] == [
        {
            "on": "2026-03-04",
            "seen": True,
            "urgency": "today",
            "sentence": "V-1 Juno (Nursery, E-1): 100.0 g → 91.0 g in 11 days (−9.0 %); "
            "7 % within 14 days is the limit.",
            "evidence": later,
        },
        {
            "on": "2026-03-03",
            "seen": False,
            "urgency": None,
            "sentence": None,
            "evidence": {},
        },
        {
            "on": "2026-03-02",
            "seen": True,
            "urgency": "watch",
            "sentence": "V-1 Juno (Nursery, E-1): 100.0 g → 92.5 g in 9 days (−7.5 %); "
            "7 % within 14 days is the limit.",
            "evidence": LOSS,
        },
    ]
    assert told["other_spells"] == []


def test_other_spells_stand_beside_and_their_nights_do_not(viewer: APIClient) -> None:
    now = _loss()
    before = _loss(
        site=now.site,
        animal=now.animal,
        opened_on=date(2026, 2, 1),
        last_seen_on=date(2026, 2, 9),
        closed_on=date(2026, 2, 10),
        nights_seen=9,
    )
    _loss(
        site=now.site,
        animal=now.animal,
        opened_on=date(2026, 1, 1),
        closed_on=date(2026, 1, 3),
        withdrawn_on=date(2026, 1, 3),
    )
    _night(now, 2)
    _night(before, 2, on=date(2026, 2, 9))

    told, told_before = _read(viewer, now), _read(viewer, before)

    assert told["other_spells"] == [
        {
            "id": before.pk,
            "opened_on": "2026-02-01",
            "last_seen_on": "2026-02-09",
            "closed_on": "2026-02-10",
            "nights_seen": 9,
        }
    ]
    assert [night["on"] for night in told["nights"]] == ["2026-03-02"]
    assert [night["on"] for night in told_before["nights"]] == ["2026-02-09"]
    assert [spell["id"] for spell in told_before["other_spells"]] == [now.pk]


def test_numbers_of_an_earlier_version_are_shown_without_a_sentence(
    viewer: APIClient,
) -> None:
    finding = _loss()
    _night(finding, 2, evidence={"lost": "7.5"})

    (night,) = _read(viewer, finding)["nights"]

    assert (night["sentence"], night["urgency"]) == (None, "today")
    assert night["evidence"] == {"lost": "7.5"}


def test_sentences_are_in_the_readers_units_and_numbers_are_not() -> None:
    reader, finding = APIClient(), _loss()
    reader.force_authenticate(UserFactory(role=Role.VIEWER.value, mass_unit="oz"))
    _night(finding, 2)

    (night,) = _read(reader, finding)["nights"]

    # 92.5 g / 28.349523125 g = 3.263 oz (NIST SP 811: the ounce).
    assert "3.53 oz → 3.26 oz" in night["sentence"]
    assert night["evidence"]["to_g"] == "92.5"


def test_many_nights_cost_as_many_queries_as_one(
    viewer: APIClient, django_assert_num_queries: Callable[..., Any]
) -> None:
    finding = _loss()
    for day in range(2, 22):
        _night(finding, day)
        if day in (2, 21):
            # The finding, its site, its nights, its other spells.
            with django_assert_num_queries(4):
                assert len(_read(viewer, finding)["nights"]) == day - 1


def test_a_finding_that_is_not_there(viewer: APIClient) -> None:
    answer = viewer.get(f"{FINDINGS}7/nights/")

    assert (answer.status_code, answer.json()["code"]) == (404, "not_found")
