"""Findings: in words, filtered, acknowledged."""

from datetime import date

import pytest
from rest_framework.test import APIClient

from core.models import AuditEntry
from core.roles import Role
from tests.factories import (
    TODAY,
    AcknowledgementFactory,
    AnimalFactory,
    FindingFactory,
    SiteFactory,
    UserFactory,
)

FINDINGS = "/api/v1/findings/"
LOSS = {
    "animal": "V-1 Juno",
    "enclosure": "E-1",
    "room": "Nursery",
    "from_g": "100.0",
    "to_g": "92.5",
    "days": 9,
    "change_pct": -7.5,
    "limit_pct": 7.0,
    "window_days": 14,
}


def _loss(**more: object) -> object:
    given = {"kind": "weight_loss", "urgency": "today", "evidence": LOSS, **more}
    return FindingFactory(**given)


def test_a_finding_in_words_with_its_evidence(viewer: APIClient) -> None:
    animal, site = AnimalFactory(code="V-1"), SiteFactory(code="home")
    row = _loss(animal=animal, site=site)
    said = AcknowledgementFactory(
        finding=row, by=UserFactory(first_name="Ada"), note="On it."
    )

    found = viewer.get(f"{FINDINGS}{row.pk}/").json()

    assert found == {
        "id": row.pk,
        "kind": "weight_loss",
        "urgency": "today",
        "open": True,
        "site": {"id": site.pk, "code": "home"},
        "animal": {"id": animal.pk, "code": "V-1"},
        "enclosure": None,
        "probe": None,
        "sentence": "V-1 Juno (Nursery, E-1): 100.0 g → 92.5 g in 9 days (−7.5 %); "
        "7 % within 14 days is the limit.",
        "first_step": "Weigh again today on the same scale. If it is confirmed, call a "
        "licensed reptile vet.",
        "why": "No published limit exists for lizards; this one is a convention "
        "[weight-loss-convention].",
        "basis": "",
        "opened_on": "2026-03-02",
        "last_seen_on": "2026-03-02",
        "closed_on": None,
        "withdrawn_on": None,
        "nights_seen": 1,
        "evidence": LOSS,
        "acknowledgements": [
            {
                "id": said.pk,
                "by": "Ada",
                "at": "2026-03-02T12:00:00Z",
                "note": "On it.",
                "quiet_until": None,
            }
        ],
    }


def test_sentences_are_in_the_readers_units(db: None) -> None:
    row, reader = _loss(), APIClient()
    reader.force_authenticate(UserFactory(role=Role.VIEWER.value, mass_unit="oz"))

    found = reader.get(f"{FINDINGS}{row.pk}/").json()

    # 100 g / 28.349523125 g = 3.527 oz (NIST SP 811: the ounce).
    assert "3.53 oz → 3.26 oz" in found["sentence"]
    assert found["evidence"]["from_g"] == "100.0"


def test_one_that_cannot_be_read_does_not_hide_the_others(viewer: APIClient) -> None:
    old = _loss(animal=AnimalFactory(code="V-9"), evidence={"lost": "much"})
    readable = _loss(urgency="watch")

    found = viewer.get(FINDINGS).json()["results"]

    assert [row["id"] for row in found] == [old.pk, readable.pk]  # type: ignore[attr-defined]
    assert found[0]["sentence"].endswith("its numbers cannot be read by this version.")
    assert found[0]["sentence"].startswith("V-9")
    assert found[0]["evidence"] == {"lost": "much"}


def test_the_most_urgent_first_and_filters(viewer: APIClient) -> None:
    here, there = SiteFactory(code="here"), SiteFactory(code="there")
    watch = _loss(urgency="watch", site=here)
    now = _loss(urgency="now", site=there, opened_on=date(2026, 2, 1))
    today = _loss(
        urgency="today",
        site=here,
        opened_on=date(2026, 2, 1),
        last_seen_on=date(2026, 2, 9),
        closed_on=date(2026, 2, 10),
    )
    withdrawn = _loss(urgency="watch", site=here, withdrawn_on=TODAY, closed_on=TODAY)

    def ids(query: str) -> list[int]:
        rows = viewer.get(f"{FINDINGS}?{query}").json()["results"]
        return [row["id"] for row in rows]

    assert ids("") == [now.pk, today.pk, watch.pk, withdrawn.pk]
    assert ids("open=true") == [now.pk, watch.pk]
    assert ids("open=false") == [today.pk, withdrawn.pk]
    assert ids("urgency=now") == [now.pk]
    assert ids("site=here&open=true") == [watch.pk]
    assert ids("kind=no_data") == []
    assert ids(f"animal={now.animal.code}") == [now.pk]
    assert ids("night=2026-02-09") == [now.pk, today.pk]
    assert ids("night=2026-02-10") == [now.pk]  # it closed in that night
    assert ids("night=2026-03-02") == [now.pk, watch.pk]


def test_acknowledge(keeper: APIClient) -> None:
    row = _loss()

    answer = keeper.post(
        f"{FINDINGS}{row.pk}/acknowledge/",
        {"note": "Weighed again.", "quiet_until": "2026-03-05"},
    )

    assert answer.status_code == 200
    (said,) = answer.json()["acknowledgements"]
    assert (said["note"], said["quiet_until"]) == ("Weighed again.", "2026-03-05")
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.subject_id) == ("acknowledge_finding", str(row.pk))


def test_acknowledge_without_a_word(keeper: APIClient) -> None:
    row = _loss()

    answer = keeper.post(f"{FINDINGS}{row.pk}/acknowledge/")

    assert answer.status_code == 200
    assert answer.json()["acknowledgements"][0]["note"] == ""


def test_a_closed_finding_cannot_be_acknowledged(keeper: APIClient) -> None:
    row = _loss(closed_on=TODAY)

    answer = keeper.post(f"{FINDINGS}{row.pk}/acknowledge/")

    assert answer.status_code == 409
    assert answer["Content-Type"] == "application/problem+json"
    assert "2026-03-02" in answer.json()["detail"]
    assert not row.acknowledgements.exists()


@pytest.mark.parametrize(
    ("body", "fields"),
    [
        ({"note": "x" * 301}, {"note": "str of length <= 300"}),
        ({"quiet_until": "soon"}, {"quiet_until": "a day as 2026-03-01"}),
        ({"quiet": True}, {"quiet": "none of that name; known are: note, quiet_until"}),
        ([], {}),
    ],
)
def test_acknowledge_with_what_cannot_be_read(
    keeper: APIClient, body: object, fields: dict[str, str]
) -> None:
    row = _loss()

    answer = keeper.post(f"{FINDINGS}{row.pk}/acknowledge/", body)

    assert answer.status_code == 400
    assert answer.json()["fields"] == fields
    assert not row.acknowledgements.exists()
