"""What is asked of the lists of care and health, and the two rows of each."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from tests.factories import (
    NOW,
    TODAY,
    ChoreFactory,
    DeathFactory,
    DoseFactory,
    FeedingFactory,
    FeedingOrderFactory,
    HealthTestFactory,
    LampCheckFactory,
    LampFactory,
    MeasuringFactory,
    ObservationFactory,
    PrescriptionFactory,
    ReviewPolicyFactory,
)

YESTERDAY, A_DAY_AGO = TODAY - timedelta(days=1), NOW - timedelta(days=1)
STRUCK: dict[str, Any] = {"struck_at": NOW, "struck_reason": "A slip."}
ENTRIES = ("feedings", "observations", "measurings", "chores", "lamp-checks", "doses")

# What is asked of a list, and which of its two rows is the answer.
CASES = [
    *((address, "from_at", NOW.isoformat(), "a") for address in ENTRIES),
    *((address, "until_at", NOW.isoformat(), "b") for address in ENTRIES),
    *((address, "in_force", "true", "a") for address in ENTRIES),
    *((address, "enclosure", "b", "b") for address in (*ENTRIES[:5], "lamps")),
    *((address, "room", "a/a", "a") for address in (*ENTRIES[:5], "lamps")),
    *((address, "animal", "a", "a") for address in ENTRIES[:3]),
    ("feedings", "feeder", "feeder-waxworms", "b"),
    ("observations", "kind", "shed", "a"),
    ("observations", "sign", "sign-dark", "b"),
    ("chores", "kind", "misting", "b"),
    ("lamp-checks", "lamp", "{lamps}", "a"),
    ("lamps", "kind", "heat", "b"),
    ("lamps", "burning", "true", "a"),
    ("feeding-orders", "animal", "b", "b"),
    ("feeding-orders", "kind", "rhythm", "b"),
    ("feeding-orders", "on", str(YESTERDAY), "a"),
    ("feeding-orders", "in_force", "true", "a"),
    ("prescriptions", "animal", "b", "b"),
    ("prescriptions", "in_force", "false", "b"),
    ("prescriptions", "from_on", str(TODAY), "a"),
    ("doses", "prescription", "{prescriptions}", "a"),
    ("doses", "animal", "b", "b"),
    ("doses", "outcome", "given", "b"),
    ("health-tests", "animal", "a", "a"),
    ("health-tests", "kind", "blood", "b"),
    ("health-tests", "result", "awaited", "a"),
    ("health-tests", "seen_by_vet", "true", "b"),
    ("health-tests", "from_on", "2026-02-20", "a"),
    ("health-tests", "until_on", "2026-02-19", "b"),
    ("deaths", "animal", "b", "b"),
    ("deaths", "necropsy", "true", "b"),
    ("deaths", "from_on", str(TODAY), "a"),
    ("deaths", "until_on", str(YESTERDAY), "b"),
    ("review-policies", "site", "a", "a"),
    ("review-policies", "kind", "lamp_worn", "b"),
    ("review-policies", "on", "2026-01-31", "a"),
]


def make_care(a: dict[str, Any], b: dict[str, Any]) -> None:
    """Make two rows of each list about the animals and places of both sides."""
    for side, then in ((a, {"at": NOW}), (b, {"at": A_DAY_AGO, **STRUCK})):
        animal, enclosure = side["animals"], side["enclosures"]
        side["measurings"] = MeasuringFactory(animal=animal, **then)
        side["lamps"] = LampFactory(enclosure=enclosure)
        side["lamp-checks"] = LampCheckFactory(lamp=side["lamps"], **then)
    a["feedings"] = FeedingFactory(animal=a["animals"], at=NOW)
    b["feedings"] = FeedingFactory(
        animal=b["animals"], at=A_DAY_AGO, feeder="feeder-waxworms", **STRUCK
    )
    a["observations"] = ObservationFactory(animal=a["animals"], kind="shed", at=NOW)
    b["observations"] = ObservationFactory(
        animal=b["animals"], kind="sign", sign="sign-dark", at=A_DAY_AGO, **STRUCK
    )
    a["chores"] = ChoreFactory(enclosure=a["enclosures"], at=NOW)
    b["chores"] = ChoreFactory(
        enclosure=b["enclosures"], kind="misting", at=A_DAY_AGO, **STRUCK
    )
    b["lamps"].kind, b["lamps"].removed_on = "heat", TODAY
    b["lamps"].save()
    a["feeding-orders"] = FeedingOrderFactory(animal=a["animals"])
    b["feeding-orders"] = FeedingOrderFactory(
        animal=b["animals"],
        kind="rhythm",
        every_days=3,
        portion=4,
        unit="insects",
        from_on=TODAY,
        until_on=TODAY,
        withdrawn_at=NOW,
    )
    a["review-policies"] = ReviewPolicyFactory(site=a["sites"])
    b["review-policies"] = ReviewPolicyFactory(
        site=b["sites"], kind="lamp_worn", from_on=date(2026, 2, 1)
    )
    _health(a, b)


def _health(a: dict[str, Any], b: dict[str, Any]) -> None:
    a["prescriptions"] = PrescriptionFactory(animal=a["animals"])
    b["prescriptions"] = PrescriptionFactory(
        animal=b["animals"],
        until_on=YESTERDAY,
        stopped_at=NOW,
        stopped_reason="Well again.",
    )
    a["doses"] = DoseFactory(prescription=a["prescriptions"], at=NOW)
    b["doses"] = DoseFactory(
        prescription=b["prescriptions"],
        at=A_DAY_AGO,
        outcome="given",
        volume_ml=Decimal("0.1"),
        computed_ml=Decimal("0.1"),
        weighing=b["weighings"],
        **STRUCK,
    )
    a["health-tests"] = HealthTestFactory(animal=a["animals"])
    b["health-tests"] = HealthTestFactory(
        animal=b["animals"],
        kind="blood",
        taken_on=date(2026, 2, 19),
        result="nothing_found",
        result_on=TODAY,
        seen_by_vet_on=TODAY,
    )
    a["deaths"] = DeathFactory(animal=a["animals"])
    b["deaths"] = DeathFactory(
        animal=b["animals"],
        on=YESTERDAY,
        necropsy_on=TODAY,
        necropsy_by="A vet",
        necropsy="Nothing found.",
    )
