"""Health of a whole site, and how it is told."""

import json
import re
from typing import Any

import pytest
from django.conf import settings

from husbandry.rules.health import cautions
from husbandry.rules.health.assessing import assess_health
from husbandry.rules.sentences.health import STEPS, TELLERS
from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import FindingKind, ObservationKind, Observed
from husbandry.rules.weights import GravidSpell
from tests.rules.health.facts import TODAY, animal, date, fed, place, prescription, seen
from tests.rules.health.test_tests_due import FOUND, taken

K = FindingKind
GRAVID = {"gravid": (GravidSpell(date(2026, 2, 20), None),)}
FASTING = (fed(1, 0), fed(2, 0))
STOPPED = seen(1, ObservationKind.LAYING, Observed.STOPPED, eggs=12)
CASES: dict[str, dict[str, Any]] = {
    "refused": {"feedings": FASTING},
    "refused-for-long": {"feedings": (fed(0, 2), *FASTING)},
    "sign": {
        "observations": (
            seen(1, ObservationKind.SIGN, Observed.PRESENT, sign="sign-dark"),
            seen(2, ObservationKind.SIGN, Observed.PRESENT, sign="sign-dark", note="all over"),
        )
    },
    "fasting": GRAVID | {"feedings": FASTING},
    "fasting-bright": GRAVID
    | {
        "feedings": FASTING,
        "observations": (seen(2, ObservationKind.ALERTNESS, Observed.BRIGHT),),
    },
    "fasting-unknown": GRAVID
    | {
        "feedings": FASTING,
        "observations": (seen(-5, ObservationKind.ALERTNESS, Observed.BRIGHT),),
    },
    "weak-once": GRAVID
    | {
        "feedings": (fed(2, 0),),
        "observations": (seen(2, ObservationKind.ALERTNESS, Observed.WEAK),),
    },
    "weak": GRAVID | {"observations": (seen(2, ObservationKind.ALERTNESS, Observed.WEAK),)},
    "digging": {"observations": (seen(2, ObservationKind.DIGGING, Observed.BEGUN),)},
    "stopped": {"observations": (STOPPED,)},
    "long": {"gravid": (GravidSpell(date(2026, 1, 1), None),)},
    "missed": {"prescriptions": (prescription(),)},
    "missed-one": {
        "prescriptions": (prescription(first_at=prescription().first_at.replace(day=2)),)
    },
    "unsafe": {"prescriptions": (prescription(first_at=prescription().first_at.replace(day=3)),), "last_weighing": None},
    "overdue": {"tests": (taken(),)},
    "found": {"tests": (taken(**FOUND),)},
}  # fmt: skip
TOLD = {
    "refused": "Refused 2 watched meals in a row, from 1 Mar 2026 to 2 Mar 2026; nobody "
    "has seen it eat on the days on record.",
    "refused-for-long": "Refused 2 watched meals in a row, from 1 Mar 2026 to 2 Mar "
    "2026; ate last on 28 Feb 2026.",
    "sign": 'Seen since 1 Mar 2026, last on 2 Mar 2026 ("all over"): Dark stress colours '
    "or stripes that stay. Look for another chameleon or a mirror in sight, for too much "
    "heat and for too little cover. If it stays, see a licensed reptile vet.",
    "fasting": "Carries eggs and has refused 2 watched meals since 1 Mar 2026; whether "
    "she is bright or weak is not on record.",
    "fasting-bright": "Carries eggs and has refused 2 watched meals since 1 Mar 2026; "
    "seen bright on 2 Mar 2026.",
    "fasting-unknown": "Carries eggs and has refused 2 watched meals since 1 Mar 2026; "
    "whether she is bright or weak is not known: last looked at on 23 Feb 2026.",
    "weak-once": "Carries eggs and has refused 1 watched meal since 2 Mar 2026; seen weak "
    "on 2 Mar 2026.",
    "weak": "Carries eggs; seen weak on 2 Mar 2026.",
    "digging": "Seen digging on 2 Mar 2026, and N-12 has no laying bin on record.",
    "stopped": "Laying stopped after 12 eggs on 1 Mar 2026 at 10:00, 38 h before the end "
    "of the day; 48 h is the limit for treatment.",
    "long": "Carries eggs for 60 days (since 1 Jan 2026); 35 days are usual at most.",
    "missed": "2 doses of Invented syrup without a record (due 1 Mar 2026 09:00 to 2 Mar "
    "2026 09:00, every 24 h; prescribed by A licensed vet of the tests).",
    "missed-one": "1 dose of Invented syrup without a record (due 2 Mar 2026 09:00, every "
    "24 h; prescribed by A licensed vet of the tests).",
    "unsafe": "No volume is computed for Invented syrup, due 3 Mar 2026 09:00. No "
    "weighing is on record, so no dose of Invented syrup is computed. Weigh it on 03 Mar "
    "2026, or ask the vet for the volume.",
    "overdue": "Faecal test of 20 Feb 2026: its result was expected by 1 Mar 2026, 1 day "
    "ago.",
    "found": "Faecal test of 20 Feb 2026, result of 1 Mar 2026: Oocysts, few. No vet has "
    "taken it over on record.",
}


@pytest.mark.parametrize("case", CASES)
def test_each_is_found_and_told(case: str) -> None:
    facts = place(animal(**CASES[case]), laying_bin=case != "digging")

    (found,) = assess_health(facts, on=TODAY)

    evidence = json.loads(json.dumps(found.facts))
    assert evidence == found.facts
    assert TELLERS[found.kind](evidence, METRIC) == TOLD[case]
    assert found.kind in STEPS
    assert found.provenance is not None


def test_every_kind_of_health_is_among_the_cases() -> None:
    kinds = {
        found.kind
        for case, given in CASES.items()
        for found in assess_health(
            place(animal(**given), laying_bin=case != "digging"), on=TODAY
        )
    }

    assert kinds == set(TELLERS) == set(STEPS)


def test_animals_are_judged_in_the_order_of_the_facts() -> None:
    ill = [animal(id=n, tests=(taken(),), feedings=FASTING) for n in (3, 1, 2)]

    found = assess_health(place(animal(id=9), *ill), on=TODAY)

    assert [(a.animal, a.kind) for a in found] == [
        (n, kind) for n in (3, 1, 2) for kind in (K.FOOD_REFUSED, K.TEST_OVERDUE)
    ]
    assert assess_health(place(), on=TODAY) == ()


@pytest.mark.parametrize("kind", STEPS)
def test_every_step_ends_at_a_vet_and_diagnoses_nothing(kind: FindingKind) -> None:
    step, why = STEPS[kind]

    assert step.endswith("licensed reptile vet.")
    assert re.search(r"\[[a-z0-9, -]+\]\.$", why)
    for word in ("dystocia", "disease", "infection", "diagnos"):
        assert word not in (step + why.split("[")[0]).lower()


def test_cautions_and_reasons_name_known_sources() -> None:
    page = (settings.BASE_DIR / "docs" / "sources.md").read_text(encoding="utf-8")
    listed = [
        cautions.DOSES,
        cautions.SIGNS,
        cautions.TESTS,
        cautions.DEATHS,
        cautions.FLUIDS,
    ]
    keys = {caution.source for caution in listed}
    for _, why in STEPS.values():
        keys |= set(why.rsplit("[", 1)[1].rstrip("].").split(", "))

    assert {key for key in keys if f"`{key}`" not in page} == set()
    for caution in listed:
        assert "licensed" in caution.text
        assert "vet" in caution.text
