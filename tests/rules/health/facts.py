"""Facts about health, as the rules are given them; every drug and dose is invented."""

from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from husbandry.rules.care.facts import PrescriptionFact
from husbandry.rules.profiles.values import DosingPolicy, Provenance, WeightBand
from husbandry.rules.vocabulary import DoseUnit, Route, Standing

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
