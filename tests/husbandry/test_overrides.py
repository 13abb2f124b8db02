"""Agreements for one animal: why, by whom, until when, instead of what."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from core.roles import Role
from husbandry.actions.overrides import override_target, withdraw_override
from husbandry.models import TargetOverride
from husbandry.rules.overrides import OverrideError
from husbandry.rules.vocabulary import Period, Quantity, Zone
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    StayFactory,
    TargetOverrideFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
AGREED = {
    "quantity": Quantity.TEMPERATURE_C,
    "zone": Zone.AMBIENT,
    "period": Period.NIGHT,
    "low": Decimal(20),
    "high": Decimal(24),
    "from_on": TODAY,
    "until_on": TODAY + 13 * DAY,
    "reason": "weak after surgery, on the vet's word",
}


def agree(**changes: Any) -> TargetOverride:
    asked = AGREED | {"by": None, "at": NOW} | changes
    return override_target(**asked)


def test_an_agreement_says_what_the_profile_wanted() -> None:
    CareProfileFactory()
    animal, vet = AnimalFactory(code="V-1", name="Juno"), UserFactory(role=Role.VET)

    row = agree(animal=animal, by=vet, hard_low=Decimal("15.5555"))

    row.refresh_from_db()
    assert (row.low, row.high, row.hard_low, row.hard_high) == (
        20,
        24,
        Decimal("15.556"),
        None,
    )
    assert (row.made_by, row.made_at, row.withdrawn_at) == (vet, NOW, None)
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by, entry.reason) == (
        "override_target",
        vet,
        AGREED["reason"],
    )
    # Nights of 55–65 °F, common practice without a source: 12.8–18.3 °C.
    wanted = {k: entry.before[k] for k in ("profile", "low", "high", "source")}
    assert wanted == {
        "profile": "ambient-night",
        "low": "12.8",
        "high": "18.3",
        "source": "common-practice",
    }
    assert entry.after == {
        "animal": "V-1 Juno",
        "quantity": "temperature_c",
        "zone": "ambient",
        "period": "night",
        "low": "20.000",
        "high": "24.000",
        "hard_low": "15.556",
        "hard_high": None,
        "tolerated_minutes": 60,
        "from_on": "2026-03-02",
        "until_on": "2026-03-15",
    }


def test_without_a_profile_or_a_row_it_says_so() -> None:
    agree(animal=AnimalFactory())
    CareProfileFactory()
    agree(
        animal=AnimalFactory(),
        zone=Zone.COOL,
        quantity=Quantity.UV_INDEX,
        high=None,
        low=Decimal(1),
    )

    assert [e.before for e in AuditEntry.objects.order_by("pk")] == [
        {"profile": None},
        {"profile": None},
    ]


@pytest.mark.parametrize(
    "changes",
    [
        {"low": None},
        {"high": None},
        {"low": Decimal(24)},
        {"hard_low": Decimal(20), "hard_high": Decimal(24)},
        {"until_on": TODAY},
        {"until_on": TODAY + 365 * DAY},  # 366 days in all
        {"tolerated_minutes": 0},
        {"tolerated_minutes": 1440},
        {"low": Decimal(-10), "high": Decimal(60)},
    ],
)
def test_an_agreement_at_its_limits(changes: dict[str, Any]) -> None:
    assert agree(animal=AnimalFactory(), **changes).pk


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"reason": "  "}, "Say why"),
        ({"low": None, "high": None}, "at least a low or a high"),
        ({"low": Decimal("24.001")}, "low 24.001 lies above high 24"),
        ({"hard_low": Decimal("20.1")}, "hard_low 20.100 lies above low 20"),
        ({"low": None, "hard_low": Decimal(25)}, "hard_low 25.000 lies above high"),
        ({"hard_high": Decimal("23.9")}, "lies above hard_high 23.900"),
        ({"low": Decimal("-10.1")}, "no temperature_c that can be"),
        ({"high": Decimal("60.1")}, "give -10 to 60"),
        ({"high": Decimal("1e300")}, "give -10 to 60"),
        ({"high": Decimal("NaN")}, "high NaN is no"),
        ({"quantity": Quantity.HUMIDITY_PCT, "high": Decimal(101)}, "give 0 to 100"),
        ({"quantity": Quantity.UV_INDEX}, "give 0 to 20"),
        ({"tolerated_minutes": -1}, "-1 minutes cannot be tolerated"),
        ({"tolerated_minutes": 1441}, "1441 minutes cannot be tolerated"),
        ({"zone": Zone.EGGS}, "change the care profile"),
        ({"from_on": TODAY - DAY}, "does not excuse nights that are past"),
        ({"until_on": TODAY - DAY}, "cannot end on 01 Mar 2026"),
        ({"until_on": TODAY + 366 * DAY}, "would hold for 367 days; at most 366"),
    ],
)
def test_an_agreement_that_cannot_be_is_refused(
    changes: dict[str, Any], said: str
) -> None:
    animal = AnimalFactory()

    with pytest.raises(OverrideError, match=said):
        agree(animal=animal, **changes)

    assert not TargetOverride.objects.exists()
    assert not AuditEntry.objects.exists()


def test_an_animal_that_left_has_no_agreements() -> None:
    with pytest.raises(OverrideError, match="not in care any more"):
        agree(animal=AnimalFactory(left=True))


def test_today_is_that_of_the_animals_site() -> None:
    animal = StayFactory(enclosure__room__site__time_zone="Asia/Tokyo").animal
    late = datetime(2026, 3, 2, 20, tzinfo=UTC)  # the 3rd in Tokyo

    with pytest.raises(OverrideError, match="from 03 Mar 2026 on at the earliest"):
        agree(animal=animal, at=late)


@pytest.mark.parametrize(
    ("changes", "refused"),
    [
        ({}, True),
        ({"from_on": TODAY + 13 * DAY, "until_on": TODAY + 20 * DAY}, True),
        ({"from_on": TODAY + 14 * DAY, "until_on": TODAY + 20 * DAY}, False),
        ({"period": Period.DAY}, False),
        ({"zone": Zone.BASKING}, False),
    ],
)
def test_two_agreements_do_not_hold_for_the_same(
    changes: dict[str, Any], refused: bool
) -> None:
    animal = AnimalFactory()
    agree(animal=animal)

    if not refused:
        assert agree(animal=animal, **changes).pk
        return
    with pytest.raises(OverrideError, match="Withdraw it first"):
        agree(animal=animal, **changes)


def test_an_agreement_is_withdrawn_once_and_then_there_is_room_for_another() -> None:
    vet, animal = UserFactory(), AnimalFactory()
    row = agree(animal=animal)

    with pytest.raises(OverrideError, match="Say why"):
        withdraw_override(override=row, reason="", by=vet, at=NOW)
    withdraw_override(override=row, reason="recovered", by=vet, at=NOW)
    with pytest.raises(OverrideError, match="withdrawn already"):
        withdraw_override(override=row, reason="again", by=vet, at=NOW + DAY)

    row.refresh_from_db()
    assert row.withdrawn_at == NOW
    entry = AuditEntry.objects.latest("pk")
    assert (entry.verb, entry.by, entry.reason) == (
        "withdraw_override",
        vet,
        "recovered",
    )
    assert (entry.before["low"], entry.after) == (
        "20.000",
        {"withdrawn_at": "2026-03-02 12:00:00+00:00"},
    )
    assert agree(animal=animal).pk != row.pk


def test_others_agreements_do_not_matter() -> None:
    TargetOverrideFactory(from_on=TODAY, until_on=TODAY + 5 * DAY)

    assert agree(animal=AnimalFactory())
