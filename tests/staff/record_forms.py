"""What is typed at each desk of the back office, and how its pages are read."""

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from html import unescape
from typing import Any

from django.utils import timezone

from tests.factories import (
    AnimalFactory,
    ApplicationFactory,
    CareProfileFactory,
    EnclosureFactory,
    HomeFactory,
    LampFactory,
    PlacementFactory,
    PrescriptionFactory,
    QuarantineFactory,
    RoomFactory,
    SpeciesFactory,
    StayFactory,
    WeighingFactory,
)

Form = dict[str, Any]


def url(label: str, rest: str = "add/") -> str:
    return f"/admin/{label.replace('.', '/')}/{rest}"


def text(answer: Any) -> str:
    return unescape(answer.content.decode())


def errors(answer: Any) -> list[str]:
    """Return what the page says is wrong; empty where it was taken."""
    lists = re.findall(r'<ul class="errorlist.*?</ul>', text(answer), re.DOTALL)
    return [" ".join(re.sub("<[^>]*>", " ", found).split()) for found in lists]


def enclosure_typed() -> Form:
    room = RoomFactory.create()
    EnclosureFactory.create(code="L-01", room=room)
    return {"code": "L-02", "room": room.pk, "kind": "screen", "position": "2"}


def setup_typed() -> Form:
    return {
        "enclosure": EnclosureFactory.create().pk,
        "from_on": "2026-01-01",
        "width_cm": "61",
        "depth_cm": "61",
        "height_cm": "122",
        "lights": "timer",
        "lights_on": "07:00",
        "lights_off": "19:00",
        "laying_bin": "on",
        "misting": "by_timer",
        "notes": "",
    }


def probe_typed() -> Form:
    return {
        "code": "P-9",
        "enclosure": EnclosureFactory.create().pk,
        "zone": "basking",
        "measures_temperature": "on",
        "interval_s": "300",
        "from_on": "2026-01-01",
    }


def sight_line_typed() -> Form:
    one = EnclosureFactory.create(pk=501)
    other = EnclosureFactory.create(pk=502, room=one.room)
    return {"enclosure": other.pk, "other": one.pk, "from_on": "2026-01-01"}


def animal_typed() -> Form:
    return {
        "code": "V-1",
        "name": "Juno",
        "species": SpeciesFactory.create().pk,
        "arrived_on": "2026-01-01",
        "sex": "female",
        "sex_basis": "heel_spur",
        "sex_confidence": "likely",
        "hatched_on": "2025-09-01",
        "hatched_precision": "month",
        "origin": "surrendered",
        "microchip": "",
    }


def state_typed() -> Form:
    return {
        "animal": AnimalFactory.create().pk,
        "state": "gravid",
        "from_on": "2026-01-01",
        "basis": "Colours.",
    }


def move_typed() -> Form:
    return {
        "animal": AnimalFactory.create().pk,
        "enclosure": EnclosureFactory.create().pk,
        "moved_at_0": "",
        "moved_at_1": "",
        "reason": "Came today.",
    }


def weighing_typed() -> Form:
    animal = StayFactory.create().animal
    WeighingFactory.create(
        animal=animal, at=datetime(2026, 1, 1, 9, tzinfo=UTC), mass_g=Decimal(100)
    )
    return {"animal": animal.pk, "mass_g": "104", "note": "Before food."}


def feeding_typed() -> Form:
    CareProfileFactory.create()
    return {
        "animal": StayFactory.create().animal_id,
        "fed_at_0": "2026-01-02",
        "fed_at_1": "10:00",
        "feeder": "feeder-crickets",
        "offered": "5",
        "eaten": "4",
        "supplements": ["plain-calcium"],
        "note": "One got away.",
    }


def feeding_order_typed() -> Form:
    today = timezone.localdate()
    return {
        "animal": AnimalFactory.create().pk,
        "kind": "assist",
        "from_on": (today + timedelta(days=1)).isoformat(),
        "until_on": (today + timedelta(days=9)).isoformat(),
        "every_days": "2",
        "portion": "3",
        "unit": "mL",
        "reason": "On the vet's word.",
    }


def observation_typed() -> Form:
    CareProfileFactory.create()
    after_tomorrow = timezone.localdate() + timedelta(days=2)
    return {
        "animal": StayFactory.create().animal_id,
        "kind": "sign",
        "sign": "sign-dark",
        "observed": "present",
        "urates": "",
        "eggs": "",
        "look_again_on": after_tomorrow.isoformat(),
        "note": "Since the morning.",
    }


def measuring_typed() -> Form:
    animal = StayFactory.create().animal
    return {"animal": animal.pk, "snout_vent_cm": "18.5", "total_cm": "35"}


def chore_typed() -> Form:
    CareProfileFactory.create()
    AnimalFactory.create()  # whose profile knows the insects
    return {
        "kind": "gut_loading",
        "enclosure": "",
        "room": RoomFactory.create().pk,
        "feeder": "feeder-crickets",
        "note": "Greens and squash.",
    }


def lamp_typed() -> Form:
    return {
        "enclosure": EnclosureFactory.create().pk,
        "kind": "uvb_tube",
        "label": "T5, 6 %",
        "fitted_on": "2026-01-01",
    }


def lamp_check_typed() -> Form:
    return {"lamp": LampFactory.create().pk, "uv_index": "3.2", "distance_cm": "30"}


def prescription_typed() -> Form:
    """An invented drug and dose, as a vet of the tests wrote it."""
    today = timezone.localdate()
    return {
        "animal": StayFactory.create().animal.pk,
        "drug": "Invented syrup",
        "dose_per_kg": "10",
        "dose_unit": "mg_per_kg",
        "concentration_mg_per_ml": "10",
        "route": "by_mouth",
        "every_hours": "24",
        "first_dose_at_0": today.isoformat(),
        "first_dose_at_1": "09:00",
        "until_on": (today + timedelta(days=6)).isoformat(),
        "smallest_step_ml": "0.01",
        "vet": "A licensed vet of the tests",
        "prescribed_on": (today - timedelta(days=1)).isoformat(),
        "reason": "In the vet's words.",
    }


def dose_typed() -> Form:
    """The dose that was due two hours ago, for 120 g weighed yesterday."""
    now = timezone.now()
    animal = StayFactory.create().animal
    WeighingFactory.create(
        animal=animal, at=now - timedelta(days=1), mass_g=Decimal(120)
    )
    row = PrescriptionFactory.create(
        animal=animal,
        first_at=(now - timedelta(hours=2)).replace(second=0, microsecond=0),
        until_on=now.date() + timedelta(days=6),
    )
    return {
        "prescription": row.pk,
        "due_shown_0": "",
        "due_shown_1": "",
        "outcome": "given",
        "given_at_0": "",
        "given_at_1": "",
        "note": "Took it well.",
    }


def health_test_typed() -> Form:
    return {
        "animal": StayFactory.create().animal.pk,
        "kind": "faecal",
        "taken_on": "2026-01-05",
        "laboratory": "Laboratory Quay",
        "expected_on": "2026-01-12",
    }


def home_typed() -> Form:
    return {
        "name": "Household Quay",
        "kind": "household",
        "contact": "3 Quay",
        "email": "quay@example.org",
        "notes": "",
        "units": "metric",
        "paper": "a4",
        "language": "en",
    }


def application_typed() -> Form:
    return {
        "home": HomeFactory.create().pk,
        "kind": "adoption",
        "species": SpeciesFactory.create().pk,
        "animal": "",
        "kept_before": "none",
        "enclosure": "ready",
        "uvb": "linear_t5",
        "measures": "yes",
        "people_at_risk": "no",
        "dwelling": "own",
        "vet": "Vet on the quay",
    }


def application_check_typed() -> Form:
    return {
        "application": ApplicationFactory.create().pk,
        "kind": "landlord",
        "outcome": "passed",
        "note": "Agrees in writing.",
    }


def personal_data_policy_typed() -> Form:
    return {
        "months_after_decline": "3",
        "months_after_last_placement": "120",
        "reason": "Ten years, as the licence asks.",
    }


def hold_policy_typed() -> Form:
    return {"source": "stray", "days": "14", "reason": "Local law on found animals."}


def placement_typed() -> Form:
    return {
        "animal": AnimalFactory.create().pk,
        "home": HomeFactory.create().pk,
        "kind": "adoption",
        "planned_on": "2027-01-01",
    }


def gate_typed() -> Form:
    animal = AnimalFactory.create()
    QuarantineFactory.create(animal=animal)
    return {
        "placement": PlacementFactory.create(animal=animal).pk,
        "gate": "quarantine_over",
        "reason": "To the vet's own ward.",
    }


def treatment_typed() -> Form:
    prescription = PrescriptionFactory.create()
    return {
        "placement": PlacementFactory.create(animal=prescription.animal).pk,
        "prescription": prescription.pk,
        "plan": "The practice in town goes on.",
    }


def placement_policy_typed() -> Form:
    return {
        "species": "",
        "kind": "sale",
        "least_age_days": "90",
        "least_mass_g": "30",
        "sex": "likely",
        "papers": ["origin_statement"],
        "reason": "As the house decided.",
    }


def packet_typed() -> Form:
    return {"placement": PlacementFactory.create().pk}
