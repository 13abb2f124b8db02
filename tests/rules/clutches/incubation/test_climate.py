"""What of a night's readings belongs to incubators; and a night whole, end to end."""

from dataclasses import replace
from typing import Any

import numpy as np

from clutches.rules.incubation import assess_incubation, climate_of
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.vocabulary import (
    EnclosureKind,
    FindingKind,
    Quantity,
    Urgency,
    Zone,
)
from tests.rules.clutches.incubation import made
from tests.rules.night.builders import (
    DAY,
    HOUR,
    START,
    assess,
    enclosure,
    hourly,
    night,
    probe,
    together,
)

INCUBATOR = enclosure(5, kind=EnclosureKind.INCUBATOR)
EGGS: dict[str, Any] = {"enclosure": 5, "zone": Zone.EGGS}
PROBE_IDS = np.array([1, 2, 3, 4], np.int64)


def site() -> NightFacts:
    humid = (Quantity.HUMIDITY_PCT,)
    return night(
        enclosures=[enclosure(1), INCUBATOR],
        probes=[
            probe(1),
            probe(2, **EGGS),
            probe(3, enclosure=5, zone=Zone.AMBIENT, interval_s=300),
            probe(4, **{**EGGS, "quantities": humid}),
        ],
    )


def test_only_thermometers_of_incubators_are_taken() -> None:
    readings = together(
        hourly(*[30.0] * 24, probe=0),
        hourly(*[27.0] * 24, probe=1),
        hourly(26.0, *[None] * 22, 25.0, probe=2),
    )

    found = climate_of(site(), readings, PROBE_IDS)

    assert [(p.id, p.code, p.incubator, p.hold_s) for p in found.probes] == [
        (2, "P-2", 5, 3 * HOUR),
        (3, "P-3", 5, 900),
    ]
    assert found.probes[0].hours_milli_c == (27_000,) * 24
    # It reads every five minutes, so that one reading holds for a quarter of an hour.
    assert found.probes[1].hours_milli_c == (None,) * 24
    assert found.bounds == {5: (START, START + 8 * HOUR, START + 20 * HOUR, DAY.end_s)}
    assert [p.id for p in found.among_eggs(5)] == [2]
    assert found.among_eggs(6) == ()


def test_without_a_probe_among_eggs_the_others_tell() -> None:
    facts = site()
    bare = replace(facts, probes=(facts.probes[0], facts.probes[2]))

    found = climate_of(bare, hourly(), np.array([1, 3], np.int64))

    assert [p.id for p in found.among_eggs(5)] == [3]


def test_a_night_is_judged_from_its_readings_and_takes_over_from_the_probe() -> None:
    facts = site()
    readings = together(
        hourly(*[30.0] * 24, probe=0),
        # The last one at 1 o'clock holds until 4; the next comes at 10, far too warm.
        hourly(27.0, 27.0, *[None] * 8, *[31.0] * 14, probe=1),
    )
    group = made.group(incubator=5, laid_on=DAY.on)

    found = assess_incubation(
        made.night(group, day=DAY), climate_of(facts, readings, PROBE_IDS)
    )

    told = {a.kind: a for a in found.assessments if a.decided}
    warm, silent = told[FindingKind.EGGS_TOO_WARM], told[FindingKind.EGGS_UNMEASURED]
    assert warm.urgency is Urgency.NOW
    assert warm.facts["above_s"] == 14 * HOUR
    # (4 h × 27 + 14 h × 31) / 18 h = 30.111
    assert warm.facts["mean"] == 30.111
    assert silent.facts["gaps"] == [
        {
            "from": "2026-03-01 04:00",
            "until": "2026-03-01 10:00",
            "before_c": 27.0,
            "after_c": 31.0,
            "fell": False,
        }
    ]
    # The review's own word on that probe is dropped, on others it stays.
    by_itself = {seen.key for seen in assess(facts, readings).seen}
    assert found.supersedes == {"no_data:probe:2"}
    assert {"no_data:probe:2", "no_data:probe:3"} <= by_itself


def test_a_site_without_incubators_has_no_climate_of_eggs() -> None:
    found = climate_of(night(), hourly(*[30.0] * 24), np.array([1], np.int64))

    assert (found.probes, found.bounds) == ((), {})
