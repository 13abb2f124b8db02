"""The pages on care and on history, each as rows and drawings."""

from dataclasses import dataclass

from husbandry.rules.profiles.vocabulary import CareTopic
from husbandry.rules.vocabulary import DatePrecision, Sex
from placements.rules.packets.documents import Document
from placements.rules.packets.plans import CarePlan
from placements.rules.packets.printing import (
    care,
    drawings,
    origins,
    records,
    routines,
    sheets,
)
from placements.rules.packets.printing.halves import Halves, divide_notes, divide_rows
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
from placements.rules.packets.printing.speech import WEEKDAYS, Speech


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
    orders: tuple[Row, ...]
    sheet_title: str
    goes_on: str
    weekdays: tuple[str, ...]
    weeks: tuple[tuple[SheetDay, ...], ...]
    supplements: tuple[Row, ...]
    food_notes: Halves[NoteGroup]
    body_notes: Halves[NoteGroup]
    changes: tuple[ChangeBlock, ...]
    signs: tuple[SignGroup, ...]
    profile_version: int
    profile_sha256: str


@dataclass(frozen=True, slots=True)
class HistoryPages:
    """What the pages on history show."""

    origins: tuple[Row, ...]
    spurs: tuple[Row, ...]
    stays: tuple[records.StayRow, ...]
    weighings: tuple[records.WeighingRow, ...]
    weighings_left_out: int
    with_mates: bool
    conditions: tuple[records.ConditionRow, ...]
    condition_figures: tuple[Figure, ...]
    open_findings: tuple[records.FindingRow, ...]
    closed_findings: tuple[records.FindingRow, ...]
    closed_left_out: int


def care_pages(speech: Speech, document: Document, plan: CarePlan) -> CarePages:
    """Lay out the pages on care."""
    animal = document.animal
    topics = [CareTopic.CONDITION]
    if animal.sex is not Sex.MALE:
        topics.append(CareTopic.EGGS)
    climate = care.notes(speech, plan, CareTopic.HEAT, CareTopic.LIGHT, CareTopic.WATER)
    around = care.notes(
        speech,
        plan,
        CareTopic.ENCLOSURE,
        CareTopic.COVER,
        CareTopic.PLANTS,
        CareTopic.COMPANY,
    )
    food = (
        *sheets.feeders(speech, plan),
        *care.notes(speech, plan, CareTopic.FOOD, CareTopic.SUPPLEMENTS),
    )
    about = animal.hatched_precision is not DatePrecision.DAY
    return CarePages(
        targets=care.target_rows(speech, plan),
        day=care.conditions_of_a_day(speech, plan),
        climate_notes=divide_notes(climate),
        section=section(speech, plan),
        room_basis=speech.standing(plan.room.basis) if plan.room else "",
        enclosure_notes=divide_notes(around),
        checklist=divide_rows(care.text_rows(plan.checklist)),
        feeding=care.feeding(speech, plan),
        orders=routines.order_rows(speech, document),
        sheet_title=sheets.sheet_title(speech, plan),
        goes_on=sheets.goes_on(speech, plan),
        weekdays=tuple(speech.say(name) for name in WEEKDAYS),
        weeks=sheets.weeks(speech, plan),
        supplements=sheets.supplements(plan),
        food_notes=divide_notes(food),
        body_notes=divide_notes(care.notes(speech, plan, *topics)),
        changes=care.change_blocks(speech, plan, about=about),
        signs=care.sign_groups(speech, document),
        profile_version=plan.profile_version,
        profile_sha256=plan.profile_sha256[:16],
    )


def history_pages(speech: Speech, document: Document) -> HistoryPages:
    """Lay out the pages on history."""
    history = document.history
    weighings = records.weighing_rows(speech, history)
    return HistoryPages(
        origins=origins.origin_rows(speech, history),
        spurs=origins.spur_rows(speech, history),
        stays=records.stay_rows(speech, history),
        weighings=weighings,
        weighings_left_out=len(history.weighings) - len(weighings),
        with_mates=any(row.mates for row in weighings),
        conditions=records.condition_rows(speech, history),
        condition_figures=drawings.conditions(speech, document),
        open_findings=records.findings(speech, history, still_open=True),
        closed_findings=records.findings(speech, history, still_open=False),
        closed_left_out=records.closed_left_out(history),
    )
