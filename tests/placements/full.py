"""A packet in which every part has something to say, for the tests of printing."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from clutches.rules.vocabulary import ClutchKind, Heel
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.vocabulary import (
    AnimalStatus,
    FeedingOrderKind,
    HealthTestKind,
    HealthTestResult,
    Urgency,
)
from placements.rules.packets.building import build_document
from placements.rules.packets.documents import (
    Document,
    PacketDocument,
    digest,
    plain,
)
from placements.rules.packets.leaving import (
    GateLine,
    HandoverLine,
    PaperLine,
    PrintChoice,
)
from placements.rules.packets.needs import ProfileVersion
from placements.rules.packets.records import (
    ClutchLine,
    EarlierCareLine,
    ExamEntry,
    ExamPart,
    FeederResponse,
    FeedingResponse,
    IntakeLine,
    MateBand,
    QuarantineLine,
    SightingLine,
    SpurLine,
    TestLine,
    TreatmentLine,
)
from placements.rules.packets.routines import FeedingOrderLine
from placements.rules.vocabulary import (
    BodySystem,
    ChipScan,
    CitesSource,
    ExamOutcome,
    Gate,
    IntakeCondition,
    IntakeSource,
    Paper,
    PaperKind,
    UnitSystem,
)
from tests.factories import SHIPPED_PROFILE
from tests.placements.known import HATCHED_ON, KNOWN_UNTIL, LEAVES_ON, facts

D = Decimal
SHIPPED = ProfileVersion(
    1,
    "0" * 64,
    read_profile(SHIPPED_PROFILE.read_text(encoding="utf-8"), name="shipped"),
)
METRIC = PrintChoice()
IMPERIAL = PrintChoice(units=UnitSystem.IMPERIAL, paper=Paper.LETTER)


def whole_document(choice: PrintChoice = METRIC, **more: Any) -> Document:
    """Return a document with all its parts; `more` are facts told otherwise."""
    document = build_document(facts(**{"profile": SHIPPED, **more}))
    return replace(
        document,
        print=choice,
        history=replace(
            document.history,
            intakes=(
                IntakeLine(
                    date(2026, 1, 5),
                    IntakeSource.RETURN,
                    IntakeCondition.REHABILITATABLE,
                    ChipScan.NONE_FOUND,
                    "panther chameleon",
                    date(2026, 1, 12),
                    "a travel box, two lamps",
                ),
            ),
            earlier_care=(
                EarlierCareLine(HATCHED_ON, date(2025, 12, 1), AnimalStatus.PLACED),
            ),
            quarantines=(
                QuarantineLine(date(2026, 1, 5), date(2026, 2, 20), True, ""),
                QuarantineLine(date(2026, 2, 21), date(2026, 2, 25), True, "Moved."),
                QuarantineLine(date(2026, 3, 1), None, False, ""),
            ),
            exams=(
                ExamEntry(
                    date(2026, 1, 5),
                    (
                        ExamPart(BodySystem.EYES, ExamOutcome.UNUSUAL, "left swollen"),
                        ExamPart(BodySystem.SKIN, ExamOutcome.NOTHING_UNUSUAL, ""),
                        ExamPart(BodySystem.VENT, ExamOutcome.NOT_LOOKED_AT, ""),
                    ),
                ),
            ),
            clutch=ClutchLine(
                "C-2025-03", ClutchKind.EGGS, date(2025, 2, 10), 42, 31, 7
            ),
            spur_checks=(
                SpurLine(date(2025, 10, 1), Heel.ABSENT, Heel.UNCLEAR),
                SpurLine(date(2025, 12, 1), Heel.ABSENT, Heel.ABSENT),
            ),
            mates=tuple(
                MateBand(p.on, 12, p.mass_g - 4, p.mass_g - 1, p.mass_g + 3)
                for p in document.history.weighings[4:]
            ),
            feeding=FeedingResponse(
                KNOWN_UNTIL - timedelta(days=27),
                KNOWN_UNTIL,
                24,
                date(2026, 3, 17),
                (
                    FeederResponse("Crickets", 20, 240, 18, 216, 190, 1, 0),
                    FeederResponse("Waxworms", 2, 4, 0, 0, 0, 0, 1),
                ),
            ),
            signs=(
                SightingLine(
                    "Eyes closed by day",
                    Urgency.TODAY,
                    date(2026, 1, 6),
                    date(2026, 1, 9),
                    3,
                    date(2026, 1, 14),
                ),
                SightingLine(
                    "Something old", None, date(2025, 9, 9), date(2025, 9, 9), 1, None
                ),
            ),
            treatments=(
                TreatmentLine(
                    "Eye drops",
                    "swollen eye",
                    date(2026, 1, 6),
                    date(2026, 1, 16),
                    date(2026, 1, 14),
                    "healed",
                    18,
                    15,
                    2,
                    1,
                    False,
                ),
                TreatmentLine(
                    "Oral paste",
                    "",
                    date(2026, 3, 10),
                    date(2026, 4, 1),
                    None,
                    "",
                    8,
                    8,
                    0,
                    0,
                    True,
                ),
            ),
            tests=(
                TestLine(
                    HealthTestKind.FAECAL,
                    date(2026, 1, 8),
                    HealthTestResult.FOUND,
                    date(2026, 1, 12),
                    "a few coccidia",
                ),
                TestLine(
                    HealthTestKind.BLOOD,
                    date(2026, 3, 16),
                    HealthTestResult.AWAITED,
                    None,
                    "",
                ),
            ),
        ),
        feeding_orders=(
            FeedingOrderLine(
                FeedingOrderKind.RHYTHM,
                date(2026, 3, 1),
                date(2026, 4, 1),
                2,
                8,
                "crickets",
                "Slow after the move.",
            ),
        ),
        gates_opened=(
            GateLine(
                Gate.QUARANTINE_OVER,
                "It is in quarantine since 1 Mar 2026.",
                "The new home keeps no other reptile.",
                date(2026, 3, 18),
            ),
        ),
        treatment_handovers=(
            HandoverLine(
                "Oral paste",
                "The practice in town goes on with it and looks again on 1 April.",
                date(2026, 3, 17),
            ),
        ),
        papers=(
            PaperLine(
                PaperKind.CITES_CERTIFICATE,
                "PT/2026/0815",
                CitesSource.BRED_IN_CAPTIVITY,
                "Management authority",
                date(2026, 1, 2),
                date(2028, 1, 2),
            ),
            PaperLine(PaperKind.OWNERSHIP, "17", None, "", None, None),
        ),
    )


def whole_packet(document: Document) -> PacketDocument:
    """Return a document as it is issued."""
    return PacketDocument(
        "P-2026-0001", 1, digest(plain(document)), LEAVES_ON, document
    )
