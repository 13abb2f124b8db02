"""The rows of the booklet, from the animal in `known`."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from husbandry.rules.vocabulary import (
    Confidence,
    DatePrecision,
    Reproduction,
    Sex,
    SexBasis,
    Urgency,
)
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import PacketDocument, digest, plain
from placements.rules.packets.histories import MassPoint, SireLine
from placements.rules.packets.printing.booklet import Booklet, lay_out
from placements.rules.packets.printing.halves import divide
from placements.rules.packets.printing.records import (
    ConditionRow,
    StayRow,
    WeighingRow,
)
from placements.rules.packets.printing.rows import Row
from placements.rules.packets.printing.sections import section
from placements.rules.packets.printing.speech import english
from tests.placements.known import ANIMAL, NEEDS, facts


def booklet(**more: object) -> Booklet:
    document = build_document(facts(**more))
    return lay_out(
        PacketDocument(
            "P-2026-0001", 1, digest(plain(document)), date(2026, 3, 18), document
        ),
        english(),
    )


def test_front_says_who_it_is() -> None:
    found = booklet()

    assert found.called == "Juno"
    assert found.identity == (
        Row("Code", "V-0417"),
        Row("Kind", "Veiled chameleon", "Chamaeleo calyptratus"),
        Row("Sex", "Female", "seen by the heel spurs of the hind feet; confirmed"),
        Row("Hatched or born", "1 Sep 2025", "6 months old on that day"),
        Row("Mother", "V-0102 Petra"),
        Row("Father", "not on record"),
        Row("Origin", "Hatched or born here", "here since 1 Sep 2025"),
        Row("Microchip", "none"),
        Row("Life stage", "Juvenile"),
        Row("Leaves as", "Adoption", "on 20 Mar 2026"),
    )
    assert [r.text for r in found.first_things] == [
        "Leave it alone for two weeks, no handling.",
        "The enclosure runs for a day before the animal comes.",
        "You know a reptile vet and the telephone number.",
    ]


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        ((60, 40), "V-1 Anil (60 %) or V-2 (40 %)"),
        ((50, 30), "V-1 Anil (50 %) or V-2 (30 %) or a male not on record (20 %)"),
        # Three thirds, rounded down: nobody is missing.
        ((33, 66), "V-1 Anil (33 %) or V-2 (66 %)"),
    ],
)
def test_a_father_is_never_guessed(shares: tuple[int, int], said: str) -> None:
    sires = (
        SireLine("V-1", "Anil", Decimal(shares[0])),
        SireLine("V-2", "", Decimal(shares[1])),
    )
    animal = replace(ANIMAL, sire=None, may_be_sires=sires)

    rows = booklet(animal=animal).identity

    father = next(row for row in rows if row.label == "Father")
    assert father == Row("Father", said, "which of them it was is not known")


@pytest.mark.parametrize(
    ("changes", "label", "row"),
    [
        (
            {"sex": Sex.UNKNOWN, "sex_basis": SexBasis.NOT_SEXED},
            "Sex",
            Row("Sex", "Not known", "nobody has looked yet"),
        ),
        (
            {"sex_confidence": Confidence.LIKELY},
            "Sex",
            Row("Sex", "Female", "seen by the heel spurs of the hind feet; likely"),
        ),
        (
            {"hatched_precision": DatePrecision.MONTH},
            "Hatched or born",
            Row("Hatched or born", "in Sep 2025", "about 6 months old on that day"),
        ),
        (
            {"hatched_on": None, "hatched_precision": DatePrecision.UNKNOWN},
            "Hatched or born",
            Row("Hatched or born", "not known", "so nobody can say how old it is"),
        ),
    ],
)
def test_front_says_how_far_a_thing_is_known(
    changes: dict[str, object], label: str, row: Row
) -> None:
    animal = replace(ANIMAL, **changes)  # type: ignore[arg-type] - the names above

    found = {r.label: r for r in booklet(animal=animal).identity}

    assert found[label] == row


def test_gravid_female_says_so() -> None:
    needs = replace(NEEDS, reproduction=Reproduction.GRAVID)

    found = {r.label: r for r in booklet(needs=needs).identity}

    assert found["Life stage"].more == "carrying eggs"


def test_targets_follow_the_day_and_name_their_source() -> None:
    care = booklet().care
    assert care is not None

    assert [t.spot for t in care.targets] == [
        "Basking spot, temperature by day",
        "Basking spot, UV index by day",
        "Rest of the enclosure, humidity by day",
        "Rest of the enclosure, temperature by day",
        "Rest of the enclosure, humidity at night",
        "Rest of the enclosure, temperature at night",
    ]
    basking = care.targets[0]
    assert (basking.wanted, basking.otherwise) == ("26.7–29.4 °C", "80–85 °F")
    assert basking.limits == "never above 35.0 °C (95 °F)"
    assert basking.basis == "common practice, no source"
    assert basking.others == ("willems-dvm: 29.4–32.2 °C (85–90 °F)",)


def test_month_sheet_begins_on_the_right_weekday() -> None:
    care = booklet().care
    assert care is not None

    # 20 March 2026 is a Friday.
    assert [d.label for d in care.weeks[0]] == ["", "", "", "", "20 Mar", "21", "22"]
    assert [len(week) for week in care.weeks] == [7] * 6
    extra = [d for week in care.weeks for d in week if d.extra]
    assert [(d.label, d.supplements) for d in extra] == [
        ("1 Apr", "multivitamin with D3"),
        ("15", "multivitamin with D3"),
    ]
    assert care.goes_on == "24 Apr 2026"


def test_signs_come_most_urgent_first_with_a_word() -> None:
    care = booklet().care
    assert care is not None

    assert [(g.urgency, g.heading.split(":")[0]) for g in care.signs] == [
        ("now", "Now"),
        ("today", "Today"),
        ("watch", "Watch"),
    ]


def test_weighings_newest_first_with_sign_and_days() -> None:
    points = (
        MassPoint(date(2026, 3, 1), Decimal("23.9")),
        MassPoint(date(2026, 3, 10), Decimal("22.1")),
        MassPoint(date(2026, 3, 11), Decimal("22.1")),
    )

    assert booklet(weighings=points).history.weighings == (
        WeighingRow("11 Mar 2026", "22.1 g (0.78 oz)", "±0 g in 1 day", ""),
        WeighingRow("10 Mar 2026", "22.1 g (0.78 oz)", "−1.8 g in 9 days", ""),
        WeighingRow("1 Mar 2026", "23.9 g (0.84 oz)", "", ""),
    )


def test_conditions_count_what_was_not_measured() -> None:
    basking = booklet().history.conditions[0]

    # 25 of 28 days at 99 %, three at nothing: 88 %; means 28.1 + 0 … 1.0.
    assert basking == ConditionRow(
        spot="Basking spot, temperature by day",
        wanted="26.7–29.4 °C",
        days="25",
        covered="88 %",
        mean="28.6 °C",
        lowest="25.7 °C",
        highest="31.5 °C",
        outside="5.0 h",
    )


def test_stays_say_where_and_how_large() -> None:
    assert booklet().history.stays == (
        StayRow("1 Sep 2025 – 1 Dec 2025", "N-12, Nursery (tub)", "size not on record"),
        StayRow(
            "1 Dec 2025 – still there",
            "E-03, Long room (screen)",
            "41 × 41 × 76 cm (16 × 16 × 30 in)",
        ),
    )


def test_open_findings_come_worst_first() -> None:
    known = facts().findings
    both = tuple(
        replace(f, closed_on=None, urgency=u)
        for f, u in zip(known, (Urgency.WATCH, Urgency.NOW), strict=True)
    )

    found = booklet(findings=both).history

    assert [f.shape for f in found.open_findings] == ["now", "watch"]
    assert found.closed_findings == ()


def test_old_findings_are_counted_not_hidden() -> None:
    over = facts().findings[0]

    found = booklet(findings=(over,) * 15).history

    assert (len(found.closed_findings), found.closed_left_out) == (12, 3)


def test_section_is_to_scale() -> None:
    plan = build_document(facts(needs=replace(NEEDS, hatched_on=date(2024, 1, 1)))).plan
    assert plan is not None
    found = section(english(), plan)
    assert found is not None

    assert found.height / found.width == pytest.approx(122 / 61, abs=0.02)
    assert found.bin_height > 0
    assert (found.height_words, found.width_words) == (
        "122 cm (48 in) tall",
        "61 cm (24 in) wide, 61 cm (24 in) deep",
    )


@pytest.mark.parametrize(
    ("lengths", "halves"),
    [
        ([], ()),
        ([5], ((5,), ())),
        ([5, 5], ((5,), (5,))),
        ([9, 1, 1], ((9,), (1, 1))),
        ([1, 1, 9], ((1, 1), (9,))),
        ([3, 3, 3, 3], ((3, 3), (3, 3))),
    ],
)
def test_divide(lengths: list[int], halves: tuple[tuple[int, ...], ...]) -> None:
    assert divide(lengths, lambda n: n) == halves
