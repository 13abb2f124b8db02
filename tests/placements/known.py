"""A small profile and an animal, written out by hand, for the tests of packets.

The figures are common practice for the veiled chameleon (no source), except where
a source is named: basking 29.4–32.2 °C is 85–90 °F of a veterinary care sheet.
"""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from husbandry.rules.profiles.resolving import Override
from husbandry.rules.profiles.values import (
    CareNote,
    Caution,
    ChecklistItem,
    CompanyRule,
    Disagreement,
    FeederNote,
    FeedingRule,
    HousingRule,
    LayingRule,
    LightHours,
    Profile,
    Provenance,
    Source,
    Stage,
    SupplementRule,
    Target,
    WarningSign,
    WeighingRule,
    WeightBand,
    WeightPolicy,
)
from husbandry.rules.profiles.vocabulary import (
    CareTopic,
    FeederUse,
    SourceKind,
    SupplementWhen,
)
from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    EnclosureKind,
    FindingKind,
    Origin,
    Period,
    Quantity,
    Reproduction,
    Sex,
    SexBasis,
    Standing,
    Urgency,
    Zone,
)
from placements.rules.packets.facts import FindingFacts, PacketFacts
from placements.rules.packets.histories import (
    AnimalLine,
    ConditionLine,
    MassPoint,
    ParentLine,
    StayLine,
)
from placements.rules.packets.needs import Needs, ProfileVersion
from placements.rules.vocabulary import PlacementKind

D = Decimal
LEAVES_ON = date(2026, 3, 20)
KNOWN_UNTIL = date(2026, 3, 18)
HATCHED_ON = date(2025, 9, 1)
PRACTICE = Provenance("common-practice", Standing.COMMON_PRACTICE, date(2026, 1, 10))
SHEET = Provenance("willems-dvm", Standing.PUBLISHED, date(2026, 1, 10))
YOUNG, GROWN = ("juvenile",), ("adult",)


def target(
    id_: str,
    quantity: Quantity,
    zone: Zone,
    period: Period,
    low: str | None,
    high: str | None,
    **more: Any,
) -> Target:
    told: dict[str, Any] = {
        "stages": (),
        "sex": None,
        "reproduction": None,
        "hard_low": None,
        "hard_high": None,
        "tolerated_minutes": 60,
        "provenance": PRACTICE,
    }
    return Target(
        id=id_,
        quantity=quantity,
        zone=zone,
        period=period,
        low=None if low is None else D(low),
        high=None if high is None else D(high),
        **{**told, **more},
    )


T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX
PROFILE = Profile(
    species="veiled_chameleon",
    common_name="Veiled chameleon",
    scientific_name="Chamaeleo calyptratus",
    sources=(
        Source(
            "willems-dvm",
            "Care sheet for veiled chameleons",
            SourceKind.VETERINARY_SHEET,
            None,
            "docslib.org/doc/3913095",
        ),
        Source(
            "common-practice",
            "What careful keepers hold to",
            SourceKind.PRACTICE,
            None,
            "no source",
        ),
        Source("unused", "Never cited", SourceKind.BOOK, 1999, "nowhere"),
    ),
    stages=(
        Stage("juvenile", "Juvenile", 0, 365, PRACTICE),
        Stage("adult", "Adult", 365, None, PRACTICE),
    ),
    targets=(
        target(
            "basking-young",
            T,
            Zone.BASKING,
            Period.DAY,
            "26.70",
            "29.4",
            stages=YOUNG,
            hard_high=D("35"),
            others=(Disagreement(D("29.4"), D("32.2"), SHEET),),
        ),
        target(
            "basking-female",
            T,
            Zone.BASKING,
            Period.DAY,
            "25.6",
            "27.8",
            sex=Sex.FEMALE,
            stages=GROWN,
        ),
        target(
            "basking-male",
            T,
            Zone.BASKING,
            Period.DAY,
            "28.3",
            "30.6",
            sex=Sex.MALE,
            stages=GROWN,
        ),
        target("uv", U, Zone.BASKING, Period.DAY, "2.0", "3.5"),
        target("day", T, Zone.AMBIENT, Period.DAY, "21.1", "26.1"),
        target("night", T, Zone.AMBIENT, Period.NIGHT, "12.8", "18.3", hard_low=D("8")),
        target("humid-day", H, Zone.AMBIENT, Period.DAY, "30", "50"),
        target(
            "humid-night",
            H,
            Zone.AMBIENT,
            Period.NIGHT,
            "70",
            "100",
            tolerated_minutes=120,
        ),
    ),
    light_hours=(LightHours("light", (), D("12.0"), D("12.0"), PRACTICE),),
    housing=(
        HousingRule("tub", YOUNG, None, D("41"), D("41"), D("76"), SHEET),
        HousingRule("tall", GROWN, None, D("61"), D("61"), D("122"), PRACTICE),
    ),
    company=(CompanyRule("alone", (), True, 1, True, PRACTICE),),
    laying=(LayingRule("bin", GROWN, Sex.FEMALE, PRACTICE),),
    feeding=(
        FeedingRule(
            "young",
            YOUNG,
            1,
            1,
            10,
            15,
            "small insects",
            "No larger than the gap between its eyes.",
            PRACTICE,
        ),
        FeedingRule("grown", GROWN, 2, 3, 3, 4, "insects", "", PRACTICE),
    ),
    feeders=(
        FeederNote(
            "crickets",
            "Crickets",
            FeederUse.STAPLE,
            0,
            "Fed on greens the evening before.",
            PRACTICE,
        ),
        FeederNote("waxworms", "Waxworms", FeederUse.TREAT, 240, "Fat.", PRACTICE),
        FeederNote(
            "dried",
            "Dried insects",
            FeederUse.NEVER,
            0,
            "It needs live food.",
            PRACTICE,
        ),
    ),
    supplements=(
        SupplementRule(
            "calcium",
            (),
            "plain calcium",
            SupplementWhen.EVERY_FEEDING,
            (),
            None,
            "Without D3, a light dusting.",
            PRACTICE,
        ),
        SupplementRule(
            "multi",
            (),
            "multivitamin with D3",
            SupplementWhen.MONTH_DAYS,
            (1, 15),
            "calcium",
            "Instead of the calcium; too much D3 is toxic.",
            PRACTICE,
        ),
    ),
    weight_bands=(
        WeightBand("young", YOUNG, None, D("1"), D("90"), PRACTICE),
        WeightBand("female", GROWN, Sex.FEMALE, D("85"), D("118"), PRACTICE),
    ),
    weighing=(
        WeighingRule("young", YOUNG, 7, 14, PRACTICE),
        WeighingRule("grown", GROWN, 14, 28, PRACTICE),
    ),
    weight_policy=WeightPolicy(D(5), 14, D(10), 28, 9, 3, YOUNG, PRACTICE),
    warning_signs=(
        WarningSign(
            "off-food",
            "It has not eaten for several days",
            Urgency.TODAY,
            "Weigh it, look at its temperatures, call a vet if it goes on.",
            PRACTICE,
        ),
        WarningSign(
            "collapse",
            "It lies on the floor, weak or trembling",
            Urgency.NOW,
            "Keep it quiet and call a vet.",
            PRACTICE,
        ),
        WarningSign(
            "orange",
            "Mostly orange urates",
            Urgency.WATCH,
            "Mist longer and look again.",
            PRACTICE,
        ),
    ),
    incubation=(),
    cautions=(Caution("release", "Never release it here or anywhere.", PRACTICE),),
    checklist=(
        ChecklistItem(
            "ready", "The enclosure runs for a day before the animal comes.", PRACTICE
        ),
        ChecklistItem(
            "vet", "You know a reptile vet and the telephone number.", PRACTICE
        ),
    ),
    notes=(
        CareNote(
            "leave",
            CareTopic.NEW_HOME,
            "Leave it alone for two weeks, no handling.",
            PRACTICE,
        ),
        CareNote(
            "lamp", CareTopic.HEAT, "Check the lamp’s distance as it grows.", PRACTICE
        ),
        CareNote(
            "drops",
            CareTopic.WATER,
            "It drinks moving drops, rarely from a bowl.",
            PRACTICE,
        ),
    ),
)
VERSION = ProfileVersion(3, "ab" * 32, PROFILE)
ANIMAL = AnimalLine(
    code="V-0417",
    name="Juno",
    species="Veiled chameleon",
    scientific_name="Chamaeleo calyptratus",
    sex=Sex.FEMALE,
    sex_basis=SexBasis.HEEL_SPUR,
    sex_confidence=Confidence.CONFIRMED,
    hatched_on=HATCHED_ON,
    hatched_precision=DatePrecision.DAY,
    dam=ParentLine("V-0102", "Petra"),
    sire=None,
    origin=Origin.BORN_HERE,
    arrived_on=HATCHED_ON,
    microchip="",
)
WARM_NIGHTS = Override(
    id=7,
    quantity=T,
    zone=Zone.AMBIENT,
    period=Period.NIGHT,
    low=D("16.000"),
    high=D("20.000"),
    hard_low=None,
    hard_high=None,
    tolerated_minutes=60,
    from_on=date(2026, 3, 1),
    until_on=date(2026, 4, 15),
    reason="Kept warmer at night after a cough, on the vet’s word.",
    by="",
)
NEEDS = Needs(Sex.FEMALE, HATCHED_ON, Reproduction.RESTING, (WARM_NIGHTS,))


def conditions() -> tuple[ConditionLine, ...]:
    lines = []
    for n in range(28):
        on = KNOWN_UNTIL - timedelta(days=28 - n)
        gone = n in (9, 10, 11)
        spots = (
            (Zone.BASKING, Period.DAY, T, D("28.1"), D("2.4"), D("26.7"), D("29.4")),
            (Zone.AMBIENT, Period.NIGHT, T, D("17.0"), D("1.5"), D("16"), D("20")),
            (Zone.AMBIENT, Period.NIGHT, H, D("82"), D("9"), D("70"), D("100")),
        )
        for zone, period, quantity, mean, spread, low, high in spots:
            shift = D(n % 5) / 4
            lines.append(
                ConditionLine(
                    on,
                    zone,
                    period,
                    quantity,
                    0 if gone else 99,
                    None if gone else mean + shift,
                    None if gone else mean + shift - spread,
                    None if gone else mean + shift + spread,
                    low,
                    high,
                    0 if gone else 12,
                )
            )
    return tuple(lines)


def facts(**more: Any) -> PacketFacts:
    """Return what is known of the animal; any part can be told otherwise."""
    told: dict[str, Any] = {
        "on": LEAVES_ON,
        "known_until": KNOWN_UNTIL,
        "time_zone": "Europe/Lisbon",
        "kind": PlacementKind.ADOPTION,
        "keeper": "Willow Bend Reptiles",
        "keeper_contact": "1 Willow Bend\nask@willow-bend.example",
        "animal": ANIMAL,
        "needs": NEEDS,
        "profile": VERSION,
        "stays": (
            StayLine(
                "N-12",
                EnclosureKind.TUB,
                "Nursery",
                HATCHED_ON,
                date(2025, 12, 1),
                None,
                None,
                None,
            ),
            StayLine(
                "E-03",
                EnclosureKind.SCREEN,
                "Long room",
                date(2025, 12, 1),
                None,
                D("41"),
                D("41"),
                D("76"),
            ),
        ),
        "weighings": tuple(
            MassPoint(
                date(2025, 11, 26) + timedelta(days=7 * n), D("9.5") + D("2.7") * n
            )
            for n in range(16)
        ),
        "conditions": conditions(),
        "findings": (
            FindingFacts(
                FindingKind.WEIGHING_OVERDUE,
                Urgency.WATCH,
                date(2026, 1, 4),
                date(2026, 1, 6),
                date(2026, 1, 7),
                3,
                {},
            ),
            FindingFacts(
                FindingKind.NO_DATA,
                Urgency.TODAY,
                date(2026, 3, 16),
                date(2026, 3, 17),
                None,
                2,
                {},
            ),
        ),
    }
    return PacketFacts(**{**told, **more})
