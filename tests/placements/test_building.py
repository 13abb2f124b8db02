"""What a packet says, worked out by hand from the small profile in `known`."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from husbandry.rules.profiles.vocabulary import FeederUse
from husbandry.rules.vocabulary import (
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Zone,
)
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import plain
from placements.rules.packets.needs import ProfileVersion
from placements.rules.packets.plans import (
    Basis,
    CarePlan,
    Changed,
    FeederLine,
    FeedingLine,
    MassLine,
    OtherView,
    RoomLine,
    TargetLine,
)
from tests.placements.known import HATCHED_ON, LEAVES_ON, NEEDS, VERSION, facts

D = Decimal
C = Basis("common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 10), "")
WILLEMS = Basis("willems-dvm", Standing.PUBLISHED, date(2026, 1, 10), "")


def plan(**more: object) -> CarePlan:
    found = build_document(facts(**more)).plan
    assert found is not None
    return found


def target(
    found: CarePlan, quantity: Quantity, zone: Zone, period: Period
) -> TargetLine:
    return next(
        t
        for t in found.targets
        if (t.quantity, t.zone, t.period) == (quantity, zone, period)
    )


def test_target_carries_its_source_and_what_others_say() -> None:
    found = target(plan(), Quantity.TEMPERATURE_C, Zone.BASKING, Period.DAY)

    assert found == TargetLine(
        quantity=Quantity.TEMPERATURE_C,
        zone=Zone.BASKING,
        period=Period.DAY,
        low=D("26.7"),
        high=D("29.4"),
        hard_low=None,
        hard_high=D("35"),
        tolerated_minutes=60,
        basis=C,
        others=(OtherView(D("29.4"), D("32.2"), WILLEMS),),
        agreed="",
    )


def test_target_is_the_one_of_its_sex_once_grown() -> None:
    grown = replace(NEEDS, hatched_on=date(2024, 9, 1), overrides=())

    found = plan(needs=grown)
    male = plan(needs=replace(grown, sex=Sex.MALE))

    spot = (Quantity.TEMPERATURE_C, Zone.BASKING, Period.DAY)
    assert target(found, *spot).high == D("27.8")
    assert target(male, *spot).high == D("30.6")
    assert found.laying == C
    assert male.laying is None


def test_agreement_wins_and_says_until_when() -> None:
    found = target(plan(), Quantity.TEMPERATURE_C, Zone.AMBIENT, Period.NIGHT)

    assert (found.low, found.high) == (D("16"), D("20"))
    assert found.agreed == (
        "Kept warmer at night after a cough, on the vet’s word. (until 15 Apr 2026)"
    )
    # What it replaces stays visible, with its source.
    assert found.others[0] == OtherView(D("12.8"), D("18.3"), C)


def test_agreement_that_has_ended_is_not_in_force() -> None:
    found = target(
        plan(on=date(2026, 4, 16)), Quantity.TEMPERATURE_C, Zone.AMBIENT, Period.NIGHT
    )

    assert (found.low, found.high, found.agreed) == (D("12.8"), D("18.3"), "")


def test_rules_of_the_life_stage() -> None:
    found = plan()

    assert (found.stage, found.stage_from_days, found.stage_to_days) == (
        "Juvenile",
        0,
        365,
    )
    assert found.room == RoomLine(D("41"), D("41"), D("76"), WILLEMS)
    assert found.feeding == FeedingLine(
        1, 1, 10, 15, "small insects", "No larger than the gap between its eyes.", C
    )
    assert found.masses == (
        MassLine(HATCHED_ON, date(2026, 8, 31), D("1"), D("90"), C),
        MassLine(date(2026, 9, 1), None, D("85"), D("118"), C),
    )


def test_feeder_it_is_too_young_for_says_from_when() -> None:
    # 240 days after 1 September 2025 is 29 April 2026.
    assert plan().feeders == (
        FeederLine(
            "Crickets", FeederUse.STAPLE, None, "Fed on greens the evening before.", C
        ),
        FeederLine("Waxworms", FeederUse.TREAT, date(2026, 4, 29), "Fat.", C),
        FeederLine("Dried insects", FeederUse.NEVER, None, "It needs live food.", C),
    )


def test_next_stage_says_when_and_what_changes() -> None:
    (change,) = plan().changes

    assert (change.on, change.stage) == (date(2026, 9, 1), "Adult")
    assert change.changes == (
        Changed(
            "Basking spot, temperature by day",
            "26.7–29.4 °C (80–85 °F)",
            "25.6–27.8 °C (78–82 °F)",
        ),
        Changed(
            "Enclosure",
            "at least 41 × 41 × 76 cm (16 × 16 × 30 in)",
            "at least 61 × 61 × 122 cm (24 × 24 × 48 in)",
        ),
        Changed(
            "Food", "10–15 small insects, every day", "3–4 insects, every 2–3 days"
        ),
        Changed("Weighing", "every 7 days", "every 14 days"),
        Changed("Expected weight", "1–90 g (0.04–3.17 oz)", "85–118 g (3.00–4.16 oz)"),
        Changed("Laying bin", "nothing said", "always there"),
    )


def test_stage_that_begins_on_the_day_itself_is_no_change_to_come() -> None:
    found = plan(on=date(2026, 9, 1))

    assert found.stage == "Adult"
    assert found.changes == ()


def test_unknown_age_foretells_nothing() -> None:
    found = plan(needs=replace(NEEDS, hatched_on=None))

    assert (found.stage, found.stage_from_days) == ("", None)
    assert found.changes == ()
    assert found.masses == ()
    assert found.room is None
    assert target(found, Quantity.HUMIDITY_PCT, Zone.AMBIENT, Period.NIGHT).low == D(
        "70"
    )
    assert all(f.from_on is None for f in found.feeders)
    assert not any(d.feed for d in found.calendar)


def test_calendar_starts_on_the_day_it_leaves() -> None:
    found = plan().calendar

    assert (found[0].on, found[0].feed) == (LEAVES_ON, True)
    assert [d.on for d in found if d.supplements == ("multivitamin with D3",)] == [
        date(2026, 4, 1),
        date(2026, 4, 15),
    ]


def test_gravid_is_told() -> None:
    assert plan(needs=replace(NEEDS, reproduction=Reproduction.GRAVID)).gravid is True


def test_only_sources_that_are_cited_are_listed() -> None:
    keys = [s.key for s in build_document(facts()).sources]

    assert keys == [
        "aap-salmonella",
        "air-box-second-hand",
        "cites-transport",
        "common-practice",
        "exotic-vet-transport",
        "iata-lar",
        "willems-dvm",
    ]


def cited(value: object) -> set[str]:
    """Return the keys of all sources that any part of a document names."""
    if isinstance(value, list | tuple):
        return {key for part in value for key in cited(part)}
    if not isinstance(value, dict):
        return set()
    own = {value["source"]} if {"source", "standing"} <= value.keys() else set()
    return own | cited(list(value.values()))


@pytest.mark.parametrize("profile", [None, VERSION])
def test_every_cited_source_is_listed(profile: ProfileVersion | None) -> None:
    document = build_document(
        facts(profile=profile, needs=replace(NEEDS, overrides=()))
    )

    assert (document.plan is None) is (profile is None)
    assert cited(plain(document)) == {s.key for s in document.sources}


def test_cautions_of_the_profile_come_first_and_the_general_ones_stay() -> None:
    ids = [c.id for c in build_document(facts()).cautions]

    assert ids[0] == "release"
    assert {
        "caution-salmonella",
        "caution-heat-electricity",
        "caution-permits",
        "caution-transport",
        "caution-vet",
    } <= set(ids)


def test_caution_the_profile_speaks_of_is_not_said_twice() -> None:
    known = facts()
    assert known.profile is not None
    own = replace(known.profile.profile.cautions[0], id="caution-salmonella")
    profile = replace(known.profile.profile, cautions=(own,))

    ids = [
        c.id
        for c in build_document(
            facts(profile=replace(known.profile, profile=profile))
        ).cautions
    ]

    assert ids.count("caution-salmonella") == 1


def test_finding_without_whole_evidence_still_says_what_it_was() -> None:
    overdue, no_data = build_document(facts()).history.findings

    assert (overdue.what, overdue.first_step) == ("Weighing overdue.", "")
    assert (no_data.what, no_data.closed_on) == ("No data.", None)


def test_same_facts_give_the_same_document() -> None:
    assert build_document(facts()) == build_document(facts())
