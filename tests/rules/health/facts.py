"""Facts about health, as the rules are given them; every drug and dose is invented."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from husbandry.rules.care.facts import (
    CaredAnimal,
    CaredEnclosure,
    CareFacts,
    FeedingFact,
    ObservationFact,
    PrescriptionFact,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import DosingPolicy, Provenance, WeightBand
from husbandry.rules.vocabulary import (
    DoseUnit,
    Misting,
    ObservationKind,
    Observed,
    Route,
    Sex,
    Standing,
)
from husbandry.rules.weights import WeighingPoint

LISBON = ZoneInfo("Europe/Lisbon")
TODAY = date(2026, 3, 2)
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 1))
POLICY = DosingPolicy(7, Decimal("0.01"), PRACTICE)
BAND = WeightBand("band-adult", (), None, Decimal(90), Decimal(180), PRACTICE)


def prescription(**changes: Any) -> PrescriptionFact:
    """10 mg/kg of 10 mg/mL, once a day from 1 March at 09:00 UTC to 7 March."""
    given: dict[str, Any] = {
        "id": 1,
        "drug": "Invented syrup",
        "dose_per_kg": Decimal(10),
        "dose_unit": DoseUnit.MG_PER_KG,
        "concentration_mg_per_ml": Decimal(10),
        "route": Route.BY_MOUTH,
        "every_hours": 24,
        "first_at": datetime(2026, 3, 1, 9, tzinfo=UTC),
        "until_on": date(2026, 3, 7),
        "smallest_step_ml": Decimal("0.01"),
        "vet": "A licensed vet of the tests",
        "stopped_at": None,
        "doses": (),
    }
    return PrescriptionFact(**(given | changes))


_SHIPPED = settings.BASE_DIR / "husbandry/profiles/veiled_chameleon.yaml"
SHIPPED = read_profile(_SHIPPED.read_text("utf-8"), name=_SHIPPED.name)
PROFILE = replace(SHIPPED, dosing=POLICY)


def animal(**changes: Any) -> CaredAnimal:
    """An adult female of 120 g, weighed today, in enclosure 7."""
    weighed_at = datetime(2026, 3, 2, 8, tzinfo=UTC)
    given: dict[str, Any] = {
        "id": 1,
        "code": "V-1",
        "label": "V-1 Juno",
        "species": 1,
        "profile": PROFILE,
        "sex": Sex.FEMALE,
        "hatched_on": date(2024, 9, 1),
        "arrived_on": date(2025, 1, 1),
        "enclosure": 7,
        "last_weighing": WeighingPoint(1, weighed_at, Decimal(120)),
    }
    return CaredAnimal(**(given | changes))


def place(*animals: CaredAnimal, laying_bin: bool = True) -> CareFacts:
    """A site in Lisbon with one enclosure; records since New Year."""
    home = CaredEnclosure(
        id=7,
        code="N-12",
        position=1,
        room=1,
        lights_on=time(7),
        lights_off=time(19),
        misting=Misting.BY_TIMER,
        laying_bin=laying_bin,
    )
    return CareFacts(
        zone=LISBON,
        site=1,
        from_on=TODAY,
        until_on=TODAY,
        since_on=date(2026, 1, 1),
        animals=animals,
        enclosures={7: home},
        rooms={},
        chores=(),
        first_recorded_on={},
    )


def seen(
    day: int, kind: ObservationKind, observed: Observed | None, **changes: Any
) -> ObservationFact:
    """What was seen on a day of March 2026 at 10:00 in Lisbon; 0 is 28 February."""
    at = datetime(2026, 3, 1, 10, tzinfo=UTC) + timedelta(days=day - 1)
    given: dict[str, Any] = {
        "id": 100 + day,
        "at": at,
        "on": at.date(),
        "kind": kind,
        "sign": "",
        "observed": observed,
        "urates": None,
        "eggs": None,
        "look_again_on": None,
        "note": "",
    }
    return ObservationFact(**(given | changes))


def fed(day: int, eaten: int | None, **changes: Any) -> FeedingFact:
    """Four crickets on a day of March 2026 at 09:00; 0 is 28 February."""
    at = datetime(2026, 3, 1, 9, tzinfo=UTC) + timedelta(days=day - 1)
    given: dict[str, Any] = {
        "id": 200 + day,
        "at": at,
        "on": at.date(),
        "feeder": "feeder-crickets",
        "offered": 4,
        "eaten": eaten,
        "supplements": (),
        "assisted": False,
    }
    return FeedingFact(**(given | changes))
