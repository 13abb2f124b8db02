"""A packet laid out for printing: every page's rows and drawings."""

from dataclasses import dataclass, replace

from husbandry.rules.vocabulary import DatePrecision, Sex
from placements.rules.packets import words
from placements.rules.packets.documents import PacketDocument, SourceLine
from placements.rules.packets.plans import CarePlan
from placements.rules.packets.printing import care, drawings, front, records, sheets
from placements.rules.packets.printing.halves import (
    Halves,
    divide_notes,
    divide_rows,
    divide_sources,
)
from placements.rules.packets.printing.rows import (
    ChangeBlock,
    Figure,
    NoteGroup,
    Row,
    SheetDay,
    SignGroup,
    TargetRow,
)
from placements.rules.packets.printing.sections import Section, section


@dataclass(frozen=True, slots=True)
class CarePages:
    """What the pages on care show."""

    targets: tuple[TargetRow, ...]
    day: tuple[Row, ...]
    climate_notes: Halves[NoteGroup]
    section: Section | None
    room_basis: str
    enclosure_notes: Halves[NoteGroup]
    checklist: Halves[Row]
    feeding: str
    sheet_title: str
    goes_on: str
    weeks: tuple[tuple[SheetDay, ...], ...]
    supplements: tuple[Row, ...]
    food_notes: Halves[NoteGroup]
    body_notes: Halves[NoteGroup]
    changes: tuple[ChangeBlock, ...]
    signs: tuple[SignGroup, ...]
    profile: str


@dataclass(frozen=True, slots=True)
class HistoryPages:
    """What the pages on history show."""

    stays: tuple[records.StayRow, ...]
    weighings: tuple[tuple[str, str, str], ...]
    weighings_left_out: int
    conditions: tuple[records.ConditionRow, ...]
    condition_figures: tuple[Figure, ...]
    open_findings: tuple[records.FindingRow, ...]
    closed_findings: tuple[records.FindingRow, ...]
    closed_left_out: int


@dataclass(frozen=True, slots=True)
class Booklet:
    """A whole packet, ready for the page."""

    title: str
    called: str
    animal: str
    number: str
    version: int
    sha256: tuple[str, ...]
    made_on: str
    leaves_on: str
    known_until: str
    time_zone: str
    keeper: str
    keeper_contact: tuple[str, ...]
    identity: tuple[Row, ...]
    first_things: tuple[Row, ...]
    growth: Figure
    care: CarePages | None
    history: HistoryPages
    cautions: Halves[Row]
    sources: Halves[SourceLine]


def lay_out(packet: PacketDocument) -> Booklet:
    """Lay a packet out for printing; the same packet gives the same pages."""
    document = packet.document
    animal = document.animal
    called = front.call_name(animal)
    about = animal.hatched_precision is not DatePrecision.DAY
    return Booklet(
        title=f"{called}: care plan and history, packet {packet.number}",
        called=called,
        animal=f"{animal.code} {animal.name}".strip(),
        number=packet.number,
        version=packet.version,
        sha256=_groups(packet.sha256),
        made_on=words.day(packet.made_on),
        leaves_on=words.day(document.on),
        known_until=words.day(document.known_until),
        time_zone=document.time_zone,
        keeper=document.keeper,
        keeper_contact=tuple(document.keeper_contact.splitlines()),
        identity=front.identity(document),
        first_things=front.first_things(document),
        growth=drawings.growth(document),
        care=_care(document.plan, sex=animal.sex, about=about)
        if document.plan
        else None,
        history=HistoryPages(
            stays=records.stay_rows(document.history),
            weighings=records.weighing_rows(document.history),
            weighings_left_out=max(
                len(document.history.weighings) - records.LAST_WEIGHINGS, 0
            ),
            conditions=records.condition_rows(document.history),
            condition_figures=drawings.conditions(document),
            open_findings=records.findings(document.history, still_open=True),
            closed_findings=records.findings(document.history, still_open=False),
            closed_left_out=records.closed_left_out(document.history),
        ),
        cautions=divide_rows(
            [Row("", c.text, care.mark(c.basis)) for c in document.cautions]
        ),
        sources=divide_sources(
            [replace(s, kind=s.kind.replace("_", " ")) for s in document.sources]
        ),
    )


def _groups(digits: str) -> tuple[str, ...]:
    """Return a hash in groups of eight, which people can compare."""
    return tuple(digits[i : i + 8] for i in range(0, len(digits), 8))


def _care(plan: CarePlan, *, sex: Sex, about: bool) -> CarePages:
    topics = ("condition",) if sex is Sex.MALE else ("condition", "eggs")
    return CarePages(
        targets=care.target_rows(plan),
        day=care.conditions_of_a_day(plan),
        climate_notes=divide_notes(care.notes(plan, "heat", "light", "water")),
        section=section(plan),
        room_basis=care.standing(plan.room.basis) if plan.room else "",
        enclosure_notes=divide_notes(
            care.notes(plan, "enclosure", "cover", "plants", "company")
        ),
        checklist=divide_rows(
            [Row("", c.text, care.mark(c.basis)) for c in plan.checklist]
        ),
        feeding=care.feeding(plan),
        sheet_title=sheets.sheet_title(plan),
        goes_on=sheets.goes_on(plan),
        weeks=sheets.weeks(plan),
        supplements=sheets.supplements(plan),
        food_notes=divide_notes(
            (*sheets.feeders(plan), *care.notes(plan, "food", "supplements"))
        ),
        body_notes=divide_notes(care.notes(plan, *topics)),
        changes=care.change_blocks(plan, about=about),
        signs=care.sign_groups(plan),
        profile=f"version {plan.profile_version}, {plan.profile_sha256[:16]}",
    )
