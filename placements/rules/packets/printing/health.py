"""The pages on health: how it ate, what was seen, tested, prescribed. No dose."""

from dataclasses import dataclass

from husbandry.rules.vocabulary import HealthTestKind, HealthTestResult
from placements.rules.packets.documents import Document
from placements.rules.packets.histories import History
from placements.rules.packets.printing.care import URGENCY_WORDS
from placements.rules.packets.printing.rows import Row
from placements.rules.packets.printing.speech import Speech, word
from placements.rules.packets.records import (
    ExamEntry,
    ExamPart,
    FeedingResponse,
    SightingLine,
    TestLine,
    TreatmentLine,
)
from placements.rules.vocabulary import BodySystem, ExamOutcome

TESTS = {
    HealthTestKind.FAECAL: word("Droppings"),
    HealthTestKind.BLOOD: word("Blood"),
    HealthTestKind.SWAB: word("Swab"),
    HealthTestKind.IMAGING: word("X-ray or other picture"),
    HealthTestKind.OTHER: word("Another test"),
}
RESULTS = {
    HealthTestResult.AWAITED: word("result still awaited"),
    HealthTestResult.NOTHING_FOUND: word("nothing found"),
    HealthTestResult.FOUND: word("something was found"),
}
SYSTEMS = {
    BodySystem.ALERTNESS: word("alertness"),
    BodySystem.BODY_CONDITION: word("body condition"),
    BodySystem.SKIN: word("skin"),
    BodySystem.EYES: word("eyes"),
    BodySystem.MOUTH: word("mouth"),
    BodySystem.BREATHING: word("breathing"),
    BodySystem.LIMBS_AND_SPINE: word("limbs and spine"),
    BodySystem.TAIL_AND_TOES: word("tail and toes"),
    BodySystem.BELLY: word("belly"),
    BodySystem.VENT: word("vent"),
    BodySystem.PARASITES: word("parasites on the skin"),
}


@dataclass(frozen=True, slots=True)
class FeederRow:
    """How it took one kind of food; what nobody watched is no refusal."""

    feeder: str
    times: int
    offered: int
    eaten: str
    refused: int
    assisted: int


@dataclass(frozen=True, slots=True)
class TreatmentRow:
    """A medicine as it is printed: when, why, how far it was given."""

    drug: str
    reason: str
    when: str
    given: str


@dataclass(frozen=True, slots=True)
class HealthPages:
    """What the pages on food and health show."""

    fed: str
    feeders: tuple[FeederRow, ...]
    exams: tuple[Row, ...]
    sightings: tuple[Row, ...]
    tests: tuple[Row, ...]
    treatments: tuple[TreatmentRow, ...]
    handovers: tuple[Row, ...]

    @property
    def anything(self) -> bool:
        """Say whether there is anything beside food to tell."""
        return bool(
            self.exams
            or self.sightings
            or self.tests
            or self.treatments
            or self.handovers
        )


def health(speech: Speech, document: Document) -> HealthPages:
    """Lay out how it ate and what is on record of its health."""
    history = document.history
    return HealthPages(
        fed=_fed(speech, history.feeding) if history.feeding else "",
        feeders=_feeders(speech, history),
        exams=tuple(_exam(speech, exam) for exam in history.exams),
        sightings=tuple(_sighting(speech, line) for line in history.signs),
        tests=tuple(_test(speech, line) for line in history.tests),
        treatments=tuple(_treatment(speech, line) for line in history.treatments),
        handovers=tuple(
            Row(line.drug, line.plan, speech.day(line.handed_over_on))
            for line in document.treatment_handovers
        ),
    )


def _fed(speech: Speech, feeding: FeedingResponse) -> str:
    spell = speech.span(feeding.from_on, feeding.until_on)
    days = speech.days(feeding.days_fed)
    if feeding.last_eaten_on is None:
        return speech.say(
            "{spell}: food was offered on {days}; nobody saw it eat.",
            spell=spell,
            days=days,
        )
    return speech.say(
        "{spell}: food was offered on {days}; it was last seen to eat on {day}.",
        spell=spell,
        days=days,
        day=speech.day(feeding.last_eaten_on),
    )


def _feeders(speech: Speech, history: History) -> tuple[FeederRow, ...]:
    if history.feeding is None:
        return ()
    return tuple(
        FeederRow(
            feeder=line.feeder,
            times=line.times,
            offered=line.offered,
            eaten=speech.say(
                "{eaten} of {offered}", eaten=line.eaten, offered=line.offered_watched
            )
            if line.watched
            else speech.say("nobody watched"),
            refused=line.refused,
            assisted=line.assisted,
        )
        for line in history.feeding.feeders
    )


def _exam(speech: Speech, exam: ExamEntry) -> Row:
    unusual = [p for p in exam.parts if p.outcome is ExamOutcome.UNUSUAL]
    usual = [p for p in exam.parts if p.outcome is ExamOutcome.NOTHING_UNUSUAL]
    unseen = [p for p in exam.parts if p.outcome is ExamOutcome.NOT_LOOKED_AT]
    said = [_part(speech, part) for part in unusual]
    if usual:
        named = _named(speech, usual)
        said.append(speech.say("nothing unusual: {parts}", parts=named))
    if unseen:
        named = _named(speech, unseen)
        said.append(speech.say("not looked at: {parts}", parts=named))
    return Row(speech.day(exam.on), "; ".join(said))


def _part(speech: Speech, part: ExamPart) -> str:
    name = speech.say(SYSTEMS[part.system])
    if part.note:
        return speech.say("unusual: {part} ({note})", part=name, note=part.note)
    return speech.say("unusual: {part}", part=name)


def _named(speech: Speech, parts: list[ExamPart]) -> str:
    return ", ".join(speech.say(SYSTEMS[part.system]) for part in parts)


def _sighting(speech: Speech, line: SightingLine) -> Row:
    times = speech.count("seen once", "seen {n} times", line.times)
    when = speech.day(line.first_on)
    if line.times > 1:
        when = speech.span(line.first_on, line.last_on)
    gone = speech.say("nobody has said that it is gone")
    if line.gone_on is not None:
        gone = speech.say("gone by {day}", day=speech.day(line.gone_on))
    label = speech.say(URGENCY_WORDS[line.urgency]) if line.urgency else ""
    return Row(label, line.text, f"{times}, {when}; {gone}")


def _test(speech: Speech, line: TestLine) -> Row:
    result = speech.say(RESULTS[line.result])
    if line.result_on is not None:
        result = f"{result}, {speech.day(line.result_on)}"
    text = f"{result}: {line.finding}" if line.finding else result
    return Row(speech.day(line.taken_on), speech.say(TESTS[line.kind]), text)


def _treatment(speech: Speech, line: TreatmentLine) -> TreatmentRow:
    when = speech.span(line.from_on, line.until_on)
    if line.stopped_on is not None:
        day = speech.day(line.stopped_on)
        when = f"{when}; {speech.say('stopped on {day}', day=day)}"
        if line.stopped_reason:
            when = f"{when}: {line.stopped_reason}"
    given = [speech.say("{given} of {due} given", given=line.given, due=line.due)]
    if line.not_given:
        given.append(speech.say("{n} left out, with a reason", n=line.not_given))
    if line.unrecorded:
        given.append(speech.say("{n} not on record", n=line.unrecorded))
    if line.open:
        given.append(speech.say("not over: ask a licensed vet how it goes on"))
    reason = line.reason or speech.say("no reason is on record")
    return TreatmentRow(line.drug, reason, when, "; ".join(given))
