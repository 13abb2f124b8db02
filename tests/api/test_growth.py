"""How one animal grows, as the API answers it."""

from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from husbandry.models import Animal
from tests.factories import (
    SHIPPED_PROFILE,
    AnimalFactory,
    CareProfileFactory,
    MeasuringFactory,
    ObservationFactory,
    ReproductiveSpellFactory,
    SpeciesFactory,
    StayFactory,
    WeighingFactory,
)

TODAY = timezone.localdate(timezone=ZoneInfo("Europe/Lisbon"))
YESTERDAY = TODAY - timedelta(days=1)

# Invented, so that scores can be worked out by hand: the median grows by 0.1 g a day.
REFERENCE = """
growth_references:
  - id: growth-invented
    source: memory
    standing: from_memory
    points:
      - {age_days: 0, power: 1, median_g: 1, variation: 0.1}
      - {age_days: 100, power: 1, median_g: 11, variation: 0.1}
"""


def ask(client: APIClient, animal: Animal, query: str = "") -> dict[str, object]:
    answer = client.get(f"/api/v1/animals/{animal.pk}/growth/{query}")
    assert answer.status_code == 200, answer.json()
    return answer.json()  # type: ignore[no-any-return] - a body


def weigh(animal: Animal, days_ago: int, mass_g: str) -> int:
    on = TODAY - timedelta(days=days_ago)
    return WeighingFactory(  # type: ignore[no-any-return] - a weighing
        animal=animal,
        at=datetime.combine(on, time(9), tzinfo=UTC),
        mass_g=Decimal(mass_g),
    ).pk


def test_a_small_animal_in_all_its_numbers(viewer: APIClient) -> None:
    profile = CareProfileFactory()
    hatched_on = TODAY - timedelta(days=40)
    dam = AnimalFactory()
    animal = AnimalFactory(
        code="V-7", male=True, dam=dam, hatched_on=hatched_on, arrived_on=hatched_on
    )
    mate = AnimalFactory(
        code="V-8", left=True, dam=dam, hatched_on=hatched_on, arrived_on=hatched_on
    )
    StayFactory(animal=animal)
    first, last = weigh(animal, 8, "4.00"), weigh(animal, 1, "4.70")
    mates = weigh(mate, 2, "5.00")
    measured_at = datetime.combine(YESTERDAY, time(10), tzinfo=UTC)
    MeasuringFactory(animal=animal, at=measured_at, snout_vent_cm=Decimal("4.7"))
    ObservationFactory(animal=animal, at=measured_at)

    body = ask(viewer, animal, "?mass_g=5")

    too_few = [
        {"model": model, "reason": "too_few_points"}
        for model in ("logistic", "gompertz", "von_bertalanffy", "richards")
    ]
    assert body == {
        "animal": {"id": animal.pk, "code": "V-7"},
        "on": TODAY.isoformat(),
        "time_zone": "Europe/Lisbon",
        "profile": {
            "id": profile.pk,
            "code": f"veiled_chameleon v{profile.version}",
        },
        "stage": "hatchling",
        "hatched_on": hatched_on.isoformat(),
        "weighings": [
            {
                "id": first,
                "on": (TODAY - timedelta(days=8)).isoformat(),
                "age_days": 32,
                "mass_g": 4.0,
            },
            {"id": last, "on": YESTERDAY.isoformat(), "age_days": 39, "mass_g": 4.7},
        ],
        # 0.7 g in 7 days; two points bound nothing.
        "trend": {
            "slope_g_per_day": pytest.approx(0.1),
            "low_g_per_day": None,
            "high_g_per_day": None,
            "weighings": 2,
            "from_on": (TODAY - timedelta(days=8)).isoformat(),
            "to_on": YESTERDAY.isoformat(),
            "window_days": 30,
            "since_laying": False,
        },
        "assessments": [],
        "switched_off": [],
        "by_reference": None,
        "among_mates": {
            "why_not": "too_few_mates",
            "on_record": 1,
            "mates": [
                {
                    "animal": {"id": mate.pk, "code": "V-8"},
                    "in_care": False,
                    "on": (TODAY - timedelta(days=2)).isoformat(),
                    "age_days": 38,
                    "mass_g": 5.0,
                }
            ],
            "least": 5,
            "within_days": 3,
            "median_g": None,
            "scaled_mad_g": None,
            "score": None,
            "rank": None,
        },
        "siblings": [
            {
                "animal": {"id": mate.pk, "code": "V-8"},
                "in_care": False,
                "hatched_on": hatched_on.isoformat(),
                "weighings": [
                    {
                        "id": mates,
                        "on": (TODAY - timedelta(days=2)).isoformat(),
                        "age_days": 38,
                        "mass_g": 5.0,
                    }
                ],
            }
        ],
        "curves": [],
        "gravid_weighings": 0,
        "curves_left_out": too_few,
        "projection": None,
        # 4.7 g by 4.7 cm.
        "conditions": [
            {
                "measured_at": f"{YESTERDAY}T10:00:00Z",
                "snout_vent_cm": 4.7,
                "weighed_at": f"{YESTERDAY}T09:00:00Z",
                "mass_g": 4.7,
                "g_per_cm": 1.0,
            }
        ],
        "gravid": [],
        "laid_on": [],
        "shed_on": [YESTERDAY.isoformat()],
    }


def test_a_loss_with_its_numbers_and_on_whose_word(viewer: APIClient) -> None:
    CareProfileFactory()
    animal = AnimalFactory(hatched_on=TODAY - timedelta(days=500))
    ReproductiveSpellFactory(
        animal=animal,
        from_on=TODAY - timedelta(days=90),
        until_on=TODAY - timedelta(days=60),
    )
    weigh(animal, 20, "110.00")
    weigh(animal, 1, "95.00")

    body = ask(viewer, animal)

    (loss,) = body["assessments"]  # type: ignore[misc] - a list
    assert (loss["kind"], loss["urgency"], loss["rule"]) == ("weight_loss", "now", "")
    # 15 of 110 g are 13.64 %.
    assert loss["facts"]["change_pct"] == -13.64
    assert loss["provenance"]["source"] == "convention"
    assert body["gravid"] == [
        {
            "from_on": (TODAY - timedelta(days=90)).isoformat(),
            "until_on": (TODAY - timedelta(days=60)).isoformat(),
        }
    ]


def test_mates_and_curves_with_what_they_do_not_support(viewer: APIClient) -> None:
    CareProfileFactory()
    dam, hatched_on = AnimalFactory(), TODAY - timedelta(days=57)
    clutch = [
        AnimalFactory(dam=dam, hatched_on=hatched_on, arrived_on=hatched_on)
        for _ in range(6)
    ]
    for place, animal in enumerate(clutch):
        for week in range(9):
            # Straight growth: no curve of these can know where it ends.
            weigh(animal, 57 - 7 * week, f"{1 + week * (1 + place / 10):.2f}")

    body = ask(viewer, clutch[0], "?mass_g=8")

    among, curves = body["among_mates"], body["curves"]
    # At the last weighing: 9 against 9.8, 10.6, 11.4, 12.2 and 13 g.
    assert (among["median_g"], among["rank"]) == (11.4, 6)  # type: ignore[index] - a body
    assert curves
    for curve in curves:  # type: ignore[attr-defined] - a list
        assert curve["asymptote_supported"] is False
        assert curve["why_not"]
        assert curve["asymptote_low_g"] is curve["asymptote_high_g"] is None
    assert body["projection"]["age_days"] == pytest.approx(49, abs=0.5)  # type: ignore[index] - a body
    assert body["projection"]["why_not"] is None  # type: ignore[index] - a body


def test_a_place_in_a_published_reference(viewer: APIClient) -> None:
    CareProfileFactory(source_text=SHIPPED_PROFILE.read_text("utf-8") + REFERENCE)
    hatched_on = TODAY - timedelta(days=51)
    animal = AnimalFactory(hatched_on=hatched_on, arrived_on=hatched_on)
    weigh(animal, 1, "6.60")

    found = ask(viewer, animal)["by_reference"]

    # (6.6 / 6 − 1) / 0.1 = 1; 84.13 % of a normal distribution lie below 1.
    assert found == {
        "reference": "growth-invented",
        "z": pytest.approx(1),
        "centile": pytest.approx(84.13, abs=0.01),
        "unlikely": False,
        "provenance": {
            "source": "memory",
            "standing": "from_memory",
            "reviewed_on": found["provenance"]["reviewed_on"],  # type: ignore[index] - a body
            "note": "",
        },
    }


def test_without_profile_age_or_place_it_still_answers(viewer: APIClient) -> None:
    animal = AnimalFactory(
        species=SpeciesFactory(code="unheard_of"),
        hatched_on=None,
        hatched_precision="unknown",
    )
    weigh(animal, 8, "4.00")

    body = ask(viewer, animal, "?mass_g=5")

    assert (body["profile"], body["stage"], body["trend"]) == (None, None, None)
    assert body["time_zone"] == "UTC"
    assert body["weighings"][0]["age_days"] is None  # type: ignore[index] - a list
    assert body["among_mates"]["why_not"] == "no_policy"  # type: ignore[index] - a body
    assert (body["curves"], body["curves_left_out"]) == ([], [])
    assert body["projection"] is None


@pytest.mark.parametrize("given", ["0", "-3", "much", "nan", "inf", "1e9", ""])
def test_what_is_no_mass_is_refused(viewer: APIClient, given: str) -> None:
    animal = AnimalFactory()

    answer = viewer.get(f"/api/v1/animals/{animal.pk}/growth/?mass_g={given}")

    assert answer.status_code == 400, answer.json()
    assert list(answer.json()["fields"]) == ["mass_g"]
