"""What instruments give away: silence, standstill, nonsense, and what is not measured."""

import pytest

from husbandry.rules.vocabulary import EnclosureKind, Period, Quantity, Urgency, Zone
from tests.rules.night.builders import (
    HOUR,
    animal,
    assess,
    by_key,
    enclosure,
    hourly,
    night,
    probe,
    profile,
    target,
)

SILENT = "no_data:probe:1"


def moving(hours: int) -> list[float]:
    return [20 + hour / 10 for hour in range(hours)]


@pytest.mark.parametrize(
    ("hours", "urgency"),
    [
        (24, None),
        (21, None),  # the last reading holds for three hours
        (20, None),  # 22 of 24 h: more than nine tenths
        (19, Urgency.WATCH),  # 21 of 24 h
        (11, Urgency.WATCH),  # 13 of 24 h
        (8, Urgency.TODAY),  # 10 of 24 h: less than half
        (0, Urgency.TODAY),
    ],
)
def test_silence_is_reported(hours: int, urgency: Urgency | None) -> None:
    seen = by_key(night(), hourly(*moving(hours)))

    found = seen.get(SILENT)
    assert (found.urgency if found else None) is urgency


def test_silence_where_nothing_lives_can_wait() -> None:
    empty = by_key(night(animals=[]), hourly())
    incubator = by_key(
        night(animals=[], enclosures=[enclosure(kind=EnclosureKind.INCUBATOR)]),
        hourly(),
    )

    assert empty[SILENT].urgency is Urgency.WATCH
    assert incubator[SILENT].urgency is Urgency.TODAY


@pytest.mark.parametrize(("hours", "stuck"), [(19, False), (20, True), (24, True)])
def test_standstill_is_reported_from_twenty_hours(hours: int, stuck: bool) -> None:
    values = [23.5] * hours + [24.0 + n / 10 for n in range(24 - hours)]

    seen = by_key(night(), hourly(*values))

    assert ("stuck_probe:probe:1:temperature_c" in seen) is stuck


def test_a_probe_that_seldom_reads_is_not_called_stuck() -> None:
    seldom = night(probes=[probe(interval_s=8 * HOUR)])
    readings = [23.5, *([None] * 11), 23.5, *([None] * 11)]

    assert "stuck_probe:probe:1:temperature_c" not in by_key(seldom, hourly(*readings))


def test_a_dark_day_is_no_standstill() -> None:
    facts = night(probes=[probe(quantities=(Quantity.UV_INDEX,))])

    assert by_key(facts, hourly(*([0.0] * 24), quantity=Quantity.UV_INDEX)).keys() == {
        "no_profile:animal:1"
    }


@pytest.mark.parametrize("value", [-10.001, 60.001, 85.0])
def test_impossible_values_are_reported_and_left_out(value: float) -> None:
    facts = night(profile=profile(target(period=Period.NIGHT, low="10", high="25")))
    values = [*moving(3), value, *moving(20)]

    seen = by_key(facts, hourly(*values))

    found = seen["impossible_values:probe:1:temperature_c"]
    assert found.evidence["impossible_s"] == HOUR
    assert not any("target" in key for key in seen)


def test_a_target_that_nothing_measures_is_named() -> None:
    facts = night(
        profile=profile(
            target(),
            target(Quantity.HUMIDITY_PCT, Zone.AMBIENT, Period.NIGHT, low="70"),
        ),
    )

    seen = by_key(facts, hourly(*([29.5] * 12 + moving(12))))

    found = seen["unmeasured_target:animal:1"]
    assert found.evidence["missing"] == [
        {"quantity": "humidity_pct", "zone": "ambient"}
    ]


def test_coverage_is_the_share_of_the_whole_night() -> None:
    facts = night(probes=[probe(1), probe(2)])

    assert assess(facts, hourly(*moving(24))).coverage == 0.5
    assert assess(night(probes=[]), hourly()).coverage is None


def test_a_site_without_anything_is_quiet() -> None:
    facts = night(animals=[], probes=[], enclosures=[])

    assert assess(facts, hourly()).seen == ()


def test_an_animal_without_profile_or_age_is_reported() -> None:
    facts = night(profile=profile(), animals=[animal(1, hatched_on=None)])

    assert "stage_unknown:animal:1" in by_key(facts, hourly(*moving(24)))
    assert "no_profile:animal:1" in by_key(night(), hourly(*moving(24)))


def test_an_animal_that_is_nowhere_is_reported() -> None:
    facts = night(profile=profile(), animals=[animal(1, enclosure=None)], probes=[])

    assert by_key(facts, hourly()).keys() == {"no_enclosure:animal:1"}


def test_a_sick_record_does_not_stop_the_others() -> None:
    poison = animal(1, weighings=("not a weighing",))
    facts = night(
        profile=profile(), animals=[poison, animal(2, hatched_on=None)], probes=[]
    )

    assessment = assess(facts, hourly())

    assert [s.key for s in assessment.seen] == [
        "not_reviewed:animal:1",
        "stage_unknown:animal:2",
    ]
    assert [code for code, _ in assessment.failures] == ["A-1"]
