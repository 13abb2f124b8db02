"""Every list is narrowed by its filter set, and every filter does what it says."""

from datetime import timedelta
from typing import Any

import pytest
from rest_framework.test import APIClient

from api import description
from api.filters import FilterSet
from api.urls import router
from api.views import Listed
from tests.api import (
    after_filters,
    animal_filters,
    application_filters,
    breeding_filters,
    care_filters,
    house_filters,
    intake_filters,
    quarantine_filters,
    record_filters,
    register_filters,
    test_sight_lines,
    token_filters,
    webhook_filters,
)
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    AuditEntryFactory,
    CareProfileFactory,
    ConditionsFactory,
    EnclosureFactory,
    FindingFactory,
    HomeFactory,
    PacketFactory,
    PacketJobFactory,
    PlacementFactory,
    PlacementPolicyFactory,
    ProbeFactory,
    ReviewRunFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
    UnclaimedReadingsFactory,
    UserFactory,
    WeighingFactory,
)

YESTERDAY = TODAY - timedelta(days=1)
A_DAY_AGO = NOW - timedelta(days=1)
LISTS = {
    address: view for address, view, _ in router.registry if issubclass(view, Listed)
}

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    ("sites", "code", "a", "a"),
    ("rooms", "code", "b", "b"),
    ("rooms", "site", "a", "a"),
    ("species", "code", "a", "a"),
    ("profiles", "species", "a", "a"),
    ("profiles", "version", "902", "b"),
    ("enclosures", "code", "a", "a"),
    ("enclosures", "site", "b", "b"),
    ("enclosures", "room", "a", "a"),
    ("enclosures", "kind", "tub", "b"),
    ("enclosures", "in_use", "true", "a"),
    ("enclosures", "in_use", "false", "b"),
    ("weighings", "animal", "a", "a"),
    ("weighings", "from_at", NOW.isoformat(), "a"),
    ("weighings", "until_at", A_DAY_AGO.isoformat(), "b"),
    ("weighings", "in_force", "false", "b"),
    ("probes", "code", "a", "a"),
    ("probes", "site", "a", "a"),
    ("probes", "enclosure", "b", "b"),
    ("probes", "zone", "basking", "b"),
    ("probes", "in_use", "true", "a"),
    ("unclaimed-readings", "code", "XX-1", "a"),
    ("unclaimed-readings", "state", "discarded", "b"),
    ("conditions", "on", str(TODAY), "a"),
    ("conditions", "from_on", str(TODAY), "a"),
    ("conditions", "until_on", str(YESTERDAY), "b"),
    ("conditions", "site", "a", "a"),
    ("conditions", "enclosure", "a", "a"),
    ("conditions", "probe", "b", "b"),
    ("conditions", "zone", "basking", "b"),
    ("conditions", "period", "day", "a"),
    ("conditions", "quantity", "humidity_pct", "b"),
    ("review-runs", "site", "a", "a"),
    ("review-runs", "on", str(YESTERDAY), "b"),
    ("review-runs", "from_on", str(TODAY), "a"),
    ("review-runs", "until_on", str(YESTERDAY), "b"),
    ("review-runs", "state", "partial", "b"),
    ("review-runs", "stale", "true", "b"),
    ("review-runs", "stale", "false", "a"),
    ("findings", "open", "true", "a"),
    ("findings", "open", "false", "b"),
    ("findings", "night", str(TODAY), "a"),
    ("findings", "night", str(YESTERDAY), "b"),
    ("findings", "urgency", "now", "a"),
    ("findings", "kind", "no_profile", "b"),
    ("findings", "site", "a", "a"),
    ("findings", "animal", "a", "a"),
    ("findings", "enclosure", "b", "b"),
    ("placements", "animal", "a", "a"),
    ("placements", "state", "handed_over", "b"),
    ("placements", "kind", "loan", "b"),
    ("placement-policies", "species", "b", "b"),
    ("placement-policies", "kind", "loan", "b"),
    ("packets", "animal", "a", "a"),
    ("packets", "number", "b", "b"),
    ("packets", "placement", "{placements}", "a"),
    ("packet-jobs", "batch", "b", "b"),
    ("packet-jobs", "state", "failed", "a"),
    ("packet-jobs", "placement", "{placements}", "a"),
    ("homes", "animal", "b", "b"),
    ("packet-jobs", "animal", "b", "b"),
    *animal_filters.CASES,
    *care_filters.CASES,
    *breeding_filters.CASES,
    *house_filters.CASES,
    *quarantine_filters.CASES,
    *intake_filters.CASES,
    *after_filters.CASES,
    *application_filters.CASES,
    *register_filters.CASES,
    *token_filters.CASES,
    *webhook_filters.CASES,
    *record_filters.CASES,
    ("audit-entries", "subject", "husbandry.animal", "a"),
    ("audit-entries", "subject_id", "a", "a"),
    ("audit-entries", "verb", "close", "b"),
    ("audit-entries", "by", "a", "a"),
    ("audit-entries", "from_at", NOW.isoformat(), "a"),
    ("audit-entries", "until_at", NOW.isoformat(), "b"),
]


@pytest.fixture
def two(db: None) -> dict[str, dict[str, int]]:
    """Return the ids of two rows of each list, a and b, by address."""
    a: dict[str, Any] = {}
    b: dict[str, Any] = {}
    for side, code in ((a, "a"), (b, "b")):
        side["sites"] = SiteFactory(code=code)
        side["rooms"] = RoomFactory(code=code, site=side["sites"])
        side["species"] = SpeciesFactory(code=code, scientific_name=code)
    _places(a, b)
    _animals(a, b)
    _nights(a, b)
    _departures(a, b)
    care_filters.make_care(a, b)
    breeding_filters.make_breeding(a, b)
    quarantine_filters.make_quarantine(a, b)
    house_filters.make_house(a, b)
    intake_filters.make_intake(a, b)
    after_filters.make_after(a, b)
    application_filters.make_applications(a, b)
    register_filters.make_register(a, b)
    token_filters.make_tokens(a, b)
    webhook_filters.make_webhooks(a, b)
    record_filters.tell_apart(a, b)
    return {
        name: {address: row.pk for address, row in side.items()}
        for name, side in (("a", a), ("b", b))
    }


def _places(a: dict[str, Any], b: dict[str, Any]) -> None:
    a["enclosures"] = EnclosureFactory(code="a", room=a["rooms"])
    b["enclosures"] = EnclosureFactory(
        code="b", room=b["rooms"], kind="tub", retired_on=TODAY
    )
    a["probes"] = ProbeFactory(code="a", enclosure=a["enclosures"])
    b["probes"] = ProbeFactory(
        code="b", enclosure=b["enclosures"], zone="basking", retired_on=TODAY
    )
    ConditionsFactory(probe=a["probes"])
    ConditionsFactory(
        probe=b["probes"], on=YESTERDAY, period="night", quantity="humidity_pct"
    )
    # They have no number of their own; the probe tells them apart.
    a["conditions"], b["conditions"] = a["probes"], b["probes"]
    a["unclaimed-readings"] = UnclaimedReadingsFactory(code="XX-1")
    b["unclaimed-readings"] = UnclaimedReadingsFactory(
        code="XX-2", state="discarded", settled_at=NOW, reason="A test."
    )


def _animals(a: dict[str, Any], b: dict[str, Any]) -> None:
    a["profiles"] = CareProfileFactory(species=a["species"], version=901)
    b["profiles"] = CareProfileFactory(species=b["species"], version=902)
    animal_filters.make_animals(a, b)
    a["weighings"] = WeighingFactory(animal=a["animals"], at=NOW)
    b["weighings"] = WeighingFactory(animal=b["animals"], at=NOW - timedelta(days=2))
    WeighingFactory(animal=b["animals"], at=A_DAY_AGO, corrects=b["weighings"])


def _nights(a: dict[str, Any], b: dict[str, Any]) -> None:
    a["review-runs"] = ReviewRunFactory(site=a["sites"])
    b["review-runs"] = ReviewRunFactory(
        site=b["sites"], on=YESTERDAY, state="partial", stale_since=NOW
    )
    a["findings"] = FindingFactory(
        site=a["sites"],
        animal=a["animals"],
        enclosure=a["enclosures"],
        kind="no_enclosure",
        urgency="now",
    )
    b["findings"] = FindingFactory(
        site=b["sites"],
        animal=b["animals"],
        enclosure=b["enclosures"],
        kind="no_profile",
        opened_on=YESTERDAY,
        last_seen_on=YESTERDAY,
        closed_on=TODAY,
    )


def _departures(a: dict[str, Any], b: dict[str, Any]) -> None:
    a["homes"] = HomeFactory()
    b["homes"] = HomeFactory(erased_at=NOW, contact="")
    a["placements"] = PlacementFactory(animal=a["animals"], home=a["homes"])
    b["placements"] = PlacementFactory(
        animal=b["animals"], home=b["homes"], kind="loan", handed_over=True
    )
    a["placement-policies"] = PlacementPolicyFactory(species=a["species"])
    b["placement-policies"] = PlacementPolicyFactory(species=b["species"], kind="loan")
    a["packets"] = PacketFactory(placement=a["placements"], number="a")
    b["packets"] = PacketFactory(placement=b["placements"], number="b")
    a["packet-jobs"] = PacketJobFactory(
        placement=a["placements"], batch="a", state="failed"
    )
    b["packet-jobs"] = PacketJobFactory(placement=b["placements"], batch="b")
    a["audit-entries"] = AuditEntryFactory(by=UserFactory(username="a"), subject_id="a")
    b["audit-entries"] = AuditEntryFactory(
        by=UserFactory(username="b"),
        at=A_DAY_AGO,
        verb="close",
        subject="placements.placement",
        subject_id="b",
    )


@pytest.mark.parametrize(("address", "name", "text", "answer"), CASES)
def test_a_filter_narrows_its_list(
    address: str,
    name: str,
    text: str,
    answer: str,
    owner: APIClient,
    two: dict[str, dict[str, int]],
) -> None:
    whole = owner.get(f"/api/v1/{address}/").json()["results"]

    asked = {name: text.format(**two["a"])}
    narrowed = owner.get(f"/api/v1/{address}/", asked).json()["results"]

    ids = [row["id"] if "id" in row else row["probe"]["id"] for row in narrowed]
    assert ids == [two[answer][address]]
    assert len(whole) > 1


def test_every_list_has_a_filter_set_and_every_filter_a_case() -> None:
    assert len(LISTS) == 72
    for view in LISTS.values():
        assert issubclass(view.filterset_class, FilterSet), view
        assert view.filterset_class.__module__ == view.__module__
    cases = [*CASES, *test_sight_lines.CASES]
    assert {(address, name) for address, name, _, _ in cases} == {
        (address, name)
        for address, view in LISTS.items()
        for name in view.filterset_class.base_filters
    }


def test_every_filter_is_described() -> None:
    for address, view in LISTS.items():
        operation = description.document()["paths"][f"/api/v1/{address}/"]["get"]
        # The others are headers, of which each is described once.
        told = {p["name"]: p for p in operation["parameters"] if "name" in p}
        names = [*view.filterset_class.base_filters, "cursor", "page_size"]
        names += ["search"] if view.searched else []
        assert list(told) == [*names, "ordering", "fields"]
        for name, parameter in told.items():
            assert parameter["description"].strip(), f"{address} {name}"
            assert parameter["schema"]["type"], f"{address} {name}"


def test_a_word_of_a_vocabulary_is_described_with_its_words() -> None:
    operation = description.document()["paths"]["/api/v1/findings/"]["get"]

    (urgency,) = [p for p in operation["parameters"] if p.get("name") == "urgency"]

    assert urgency == {
        "name": "urgency",
        "in": "query",
        "schema": {"type": "string", "enum": ["now", "today", "watch"]},
        "description": "How soon somebody must act.",
    }


@pytest.mark.parametrize(
    ("query", "accepted"),
    [
        ("weighings/?from_at=2026-03-01", "an instant as 2026-03-01T06:00:00+01:00"),
        ("weighings/?from_at=1772409600", "an instant as 2026-03-01T06:00:00+01:00"),
        (
            "weighings/?from_at=2026-03-01T06:00:00",
            "an instant as 2026-03-01T06:00:00+01:00",
        ),
        ("profiles/?version=0", "a whole number from 1 to 2147483647"),
        ("profiles/?version=2147483648", "a whole number from 1 to 2147483647"),
        ("profiles/?version=1.5", "a whole number from 1 to 2147483647"),
        ("findings/?night=01/03/2026", "a day as 2026-03-01"),
        ("findings/?night=2026-02-30", "a day as 2026-03-01"),
        ("findings/?open=", "true, false"),
        ("findings/?night=", "a day as 2026-03-01"),
        ("animals/?sex=", "female, male, unknown"),
        ("animals/?sex=Male", "female, male, unknown"),
        ("animals/?code=", "other text"),
    ],
)
def test_what_a_filter_cannot_read_is_refused(
    query: str, accepted: str, viewer: APIClient
) -> None:
    answer = viewer.get(f"/api/v1/{query}")

    name = query.partition("?")[2].partition("=")[0]
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter")
    assert answer.json()["fields"] == {name: accepted}


def test_an_instant_too_far_off_is_refused(viewer: APIClient) -> None:
    answer = viewer.get("/api/v1/weighings/?from_at=9999-12-31T23:59:59-10:00")

    assert (answer.status_code, answer.json()["code"]) == (400, "day_out_of_range")


def test_one_row_takes_no_filter(viewer: APIClient) -> None:
    animal = AnimalFactory()

    answer = viewer.get(f"/api/v1/animals/{animal.pk}/?sex=male")

    assert answer.status_code == 400
    assert answer.json()["detail"] == (
        "There is no parameter 'sex' here. Parameters are: fields."
    )


def test_the_lists_of_an_animal_take_no_filter(viewer: APIClient) -> None:
    animal = AnimalFactory()

    answer = viewer.get(f"/api/v1/animals/{animal.pk}/findings/?open=true")

    assert answer.status_code == 400
    assert answer.json()["detail"] == (
        "There is no parameter 'open' here. Parameters are: cursor, page_size, fields."
    )
