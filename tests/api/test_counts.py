"""Lists cost the same number of queries whether they hold one row or three."""

from collections.abc import Callable

import pytest
from rest_framework.test import APIClient

from tests.api.test_animals import OVERDUE
from tests.factories import (
    AcknowledgementFactory,
    AnimalFactory,
    AuditEntryFactory,
    CareProfileFactory,
    ConditionsFactory,
    EnclosureFactory,
    FindingFactory,
    HomeFactory,
    PacketFactory,
    ProbeFactory,
    ReadingFactory,
    ReviewRunFactory,
    RoomFactory,
    SetupFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    UserFactory,
    WeighingFactory,
)


def _animal() -> None:
    animal = AnimalFactory(dam=AnimalFactory(), sire=AnimalFactory(male=True))
    StayFactory(animal=animal)
    WeighingFactory(animal=animal)


def _enclosure() -> None:
    row = EnclosureFactory()
    SetupFactory(enclosure=row)
    StayFactory(enclosure=row)
    ProbeFactory(enclosure=row)


def _finding() -> None:
    row = FindingFactory(
        evidence=OVERDUE, enclosure=EnclosureFactory(), probe=ProbeFactory()
    )
    AcknowledgementFactory(finding=row)


def _species() -> None:
    SpeciesFactory(code=f"species-{SpeciesFactory._meta.model.objects.count()}")


COUNTS: list[tuple[str, Callable[[], object], int]] = [
    ("sites", SiteFactory, 1),
    ("rooms", RoomFactory, 1),
    ("species", _species, 1),
    ("profiles", CareProfileFactory, 1),
    ("animals", _animal, 3),
    ("enclosures", _enclosure, 4),
    ("stays", lambda: StayFactory(moved_by=UserFactory()), 1),
    ("weighings", lambda: WeighingFactory(recorded_by=UserFactory()), 2),
    ("probes", ReadingFactory, 2),
    ("conditions", ConditionsFactory, 1),
    ("review-runs", lambda: ReviewRunFactory(started_by=UserFactory()), 1),
    ("findings", _finding, 6),
    ("placements", PacketFactory, 2),
    ("packets", PacketFactory, 1),
    ("homes", HomeFactory, 1),
    ("audit-entries", AuditEntryFactory, 1),
]


@pytest.mark.parametrize(("address", "make", "queries"), COUNTS)
def test_queries(
    address: str,
    make: Callable[[], object],
    queries: int,
    owner: APIClient,
    django_assert_num_queries: Callable[..., object],
) -> None:
    for more in (1, 2):
        for _ in range(more):
            make()
        with django_assert_num_queries(queries):  # type: ignore[attr-defined]
            rows = owner.get(f"/api/v1/{address}/").json()["results"]
        assert len(rows) >= more
