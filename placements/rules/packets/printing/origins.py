"""The history pages: how it came into care, its clutch, the looks at its heels."""

from clutches.rules.vocabulary import ClutchKind, Heel
from husbandry.rules.vocabulary import AnimalStatus
from placements.rules.packets.histories import History
from placements.rules.packets.printing.records import until
from placements.rules.packets.printing.rows import Row
from placements.rules.packets.printing.speech import Speech, word
from placements.rules.packets.records import (
    ClutchLine,
    EarlierCareLine,
    IntakeLine,
    QuarantineLine,
)
from placements.rules.vocabulary import ChipScan, IntakeCondition, IntakeSource

SOURCES = {
    IntakeSource.SURRENDER: word("Given up by its keeper"),
    IntakeSource.STRAY: word("Found without a keeper"),
    IntakeSource.SEIZURE: word("Taken by an authority"),
    IntakeSource.TRANSFER_IN: word("Taken over from another organisation"),
    IntakeSource.BOUGHT: word("Bought"),
    IntakeSource.LENT_TO_US: word("Lent to us"),
    IntakeSource.RETURN: word("Came back from a home"),
    IntakeSource.BORN_HERE: word("Hatched or born here"),
}
CONDITIONS = {
    IntakeCondition.HEALTHY: word("healthy, as far as could be told"),
    IntakeCondition.REHABILITATABLE: word("in need of treatment, expected to recover"),
    IntakeCondition.MANAGEABLE: word("with a lasting condition that can be lived with"),
    IntakeCondition.UNTREATABLE: word("in a condition that could not be treated"),
    IntakeCondition.NOT_JUDGED: word("its condition was not judged"),
}
SCANS = {
    ChipScan.READ: word("a microchip was read"),
    ChipScan.NONE_FOUND: word("no microchip was found"),
    ChipScan.NOT_SCANNED: word("nobody looked for a microchip"),
}
LEFT_AS = {
    AnimalStatus.IN_CARE: word("in care"),
    AnimalStatus.PLACED: word("then in another home"),
    AnimalStatus.DEAD: word("then dead"),
    AnimalStatus.LOST: word("then lost"),
    AnimalStatus.RELEASED: word("then released"),
    AnimalStatus.ELSEWHERE: word("then elsewhere"),
}
HEELS = {
    Heel.PRESENT: word("a spur"),
    Heel.ABSENT: word("no spur"),
    Heel.UNCLEAR: word("unclear"),
}


def origin_rows(speech: Speech, history: History) -> tuple[Row, ...]:
    """Return how it came and came again, its clutch, its times apart, oldest first."""
    say = speech.say
    rows = (
        [Row(say("Clutch"), _clutch(speech, history.clutch))] if history.clutch else []
    )
    rows += [
        Row(say("Earlier time here"), _earlier(speech, line))
        for line in history.earlier_care
    ]
    rows += [
        Row(say("Came on {day}", day=speech.day(line.on)), _intake(speech, line))
        for line in history.intakes
    ]
    rows += [
        Row(say("Kept apart"), _quarantine(speech, line))
        for line in history.quarantines
    ]
    return tuple(rows)


def _clutch(speech: Speech, clutch: ClutchLine) -> str:
    day = speech.day(clutch.laid_on)
    if clutch.kind is ClutchKind.LIVE_YOUNG:
        return speech.say(
            "{code}, born on {day}: {all} young, {alive} of them alive",
            code=clutch.code,
            day=day,
            all=clutch.eggs_set,
            alive=clutch.hatched,
        )
    said = speech.say(
        "{code}, laid on {day}: {eggs} eggs were kept, {hatched} hatched",
        code=clutch.code,
        day=day,
        eggs=clutch.eggs_set,
        hatched=clutch.hatched,
    )
    if clutch.egg is None:
        return said
    return f"{said}; {speech.say('it came from egg {n}', n=clutch.egg)}"


def _earlier(speech: Speech, line: EarlierCareLine) -> str:
    return f"{speech.span(line.arrived_on, line.left_on)}, {speech.say(LEFT_AS[line.status])}"


def _intake(speech: Speech, line: IntakeLine) -> str:
    say = speech.say
    parts = [say(SOURCES[line.source]), say(CONDITIONS[line.condition])]
    parts.append(say(SCANS[line.chip_scan]))
    if line.species_told:
        parts.append(say("told to be: {species}", species=line.species_told))
    if line.came_with:
        parts.append(say("came with: {things}", things=line.came_with))
    if line.hold_until is not None:
        parts.append(say("held until {day}", day=speech.day(line.hold_until)))
    return "; ".join(parts)


def _quarantine(speech: Speech, line: QuarantineLine) -> str:
    spell = until(speech, line.began_on, line.ended_on, speech.say("still kept apart"))
    if line.ended_on is None:
        return spell
    if line.despite:
        return speech.say(
            "{spell}; ended although not all was as wanted: {reason}",
            spell=spell,
            reason=line.despite,
        )
    if line.cleared:
        return speech.say(
            "{spell}; ended on evidence, by somebody who may", spell=spell
        )
    return spell


def spur_rows(speech: Speech, history: History) -> tuple[Row, ...]:
    """Return the looks at its heels, oldest first."""
    return tuple(
        Row(
            speech.day(line.on),
            speech.say(
                "left heel: {left}, right heel: {right}",
                left=speech.say(HEELS[line.left]),
                right=speech.say(HEELS[line.right]),
            ),
        )
        for line in history.spur_checks
    )
