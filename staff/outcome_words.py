"""Figures of intakes and outcomes in words; each says by which formula it was made."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from clutches.rules.statistics import Course
from placements.rules.figures.counting import Figures
from placements.rules.figures.facts import LeftOut, LeftOutWhy, StayStage
from placements.rules.vocabulary import RegisterHow
from staff.figure_words import share_words
from staff.units import count, day

HOW = {
    RegisterHow.SURRENDER: "given up by their keepers",
    RegisterHow.STRAY: "found",
    RegisterHow.SEIZURE: "seized",
    RegisterHow.TRANSFER_IN: "from another house",
    RegisterHow.BOUGHT: "bought",
    RegisterHow.LENT_TO_US: "lent to this house",
    RegisterHow.RETURN: "brought back by their home",
    RegisterHow.BORN_HERE: "hatched or born here",
    RegisterHow.FOUND_AGAIN: "lost before and found again",
    RegisterHow.NOT_SAID: "nothing on record says how",
    RegisterHow.ADOPTION: "adopted",
    RegisterHow.SALE: "sold",
    RegisterHow.TRANSFER: "to another house",
    RegisterHow.LOAN: "lent",
    RegisterHow.FOSTER: "to a foster home",
    RegisterHow.RELEASE: "released to the wild",
    RegisterHow.DEATH: "died",
    RegisterHow.PUT_TO_SLEEP: "put to sleep by a vet",
    RegisterHow.LOSS: "lost",
}
STAGES = {
    StayStage.QUARANTINE: "In quarantine",
    StayStage.READY: "Here, with nothing planned",
    StayStage.PLANNED: "Planned to leave",
    StayStage.AWAY: "Away with a foster home or on loan",
}
WHY = {
    LeftOutWhy.NEGATIVE: "it ends before it begins",
    LeftOutWhy.TO_COME: "it begins on a day to come",
    LeftOutWhy.REPEATED: "it is on record twice",
    LeftOutWhy.OPEN: "it never ended, and the animal came again",
    LeftOutWhy.OVERLAPPING: "it overlaps another one",
    LeftOutWhy.NO_TIME_IN_CARE: "its animal was never in care then",
}


@dataclass(frozen=True, slots=True)
class FigureLine:
    """One figure: its name, what it is, how it is made."""

    name: str
    told: str
    made: str = ""


@dataclass(frozen=True, slots=True)
class GroupWords:
    """All figures of one group."""

    name: str
    intakes: tuple[tuple[str, int], ...]
    outcomes: tuple[tuple[str, int], ...]
    lines: tuple[FigureLine, ...]


@dataclass(frozen=True, slots=True)
class LeftOutRow:
    """A record that no figure counts."""

    code: str
    when: str
    why: str


def group_words(name: str, found: Figures) -> GroupWords:
    """Return the figures of one group in words."""
    return GroupWords(
        name=name,
        intakes=_counted(found.intakes),
        outcomes=_counted(found.outcomes),
        lines=tuple(_lines(found)),
    )


def left_out_row(one: LeftOut) -> LeftOutRow:
    """Return a record that no figure counts, with the reason."""
    last = day(one.last_on) if one.last_on else "no last day"
    return LeftOutRow(one.code, f"{day(one.first_on)} to {last}", WHY[one.why])


def _counted(by: Mapping[RegisterHow, int]) -> tuple[tuple[str, int], ...]:
    return tuple((HOW[how], number) for how, number in by.items() if number)


def _lines(found: Figures) -> Iterator[FigureLine]:
    yield from _release(found)
    yield from _stay(found)
    yield _capacity(found)
    yield FigureLine(
        "Came back from a home",
        f"{share_words(found.returns.share)}",
        "of those that went for good in the period, up to today: those that went lately "
        "have had less time to come back",
    )
    for stage in found.stages:
        yield FigureLine(
            STAGES[stage.stage],
            f"{count(stage.animal_days, 'animal-day')}; of the times that began in the "
            f"period {_half(stage.course, 'lasted')}",
            "Kaplan and Meier 1958: those that last still count until today",
        )


def _release(found: Figures) -> Iterator[FigureLine]:
    rates = found.rates
    accord = share_words(rates.by_accord)
    if rates.asked_at_most:
        accord += (
            f"; {share_words(rates.by_accord_at_most)} if all "
            f"{rates.asked_at_most} that were given up untreatable were put to sleep "
            "because their owners asked for it, which nothing on record says"
        )
    yield FigureLine(
        "Live release rate, by outcomes (Asilomar Accords 2004)",
        accord,
        "live outcomes by all outcomes without those put to sleep on their owners' "
        "request as untreatable; deaths and losses in care count in neither",
    )
    intake = "nothing: none came in the period"
    if rates.by_intake is not None:
        intake = f"{100 * rates.by_intake:.1f} %"
    yield FigureLine(
        "Live release rate, by intakes",
        intake,
        "live outcomes by intakes of the same period; it can pass 100 %",
    )
    yield FigureLine(
        "Left alive, of all that left",
        f"{share_words(rates.of_all)}; {rates.asleep} put to sleep, {rates.died} died, "
        f"{rates.lost} lost",
        "no published formula; nothing is left out of it",
    )


def _stay(found: Figures) -> Iterator[FigureLine]:
    stay = found.stay
    mean = "none left" if stay.days is None else f"{stay.days:.2f} days"
    yield FigureLine(
        "Length of stay, by animal-days",
        f"{mean} ({count(stay.animal_days, 'animal-day')} by {count(stay.exits, 'exit')})",
        "all days of all animals in the period, by how many left in it",
    )
    if stay.left_mean is not None and stay.left_median is not None:
        yield FigureLine(
            "Length of stay of those that left",
            f"mean {stay.left_mean:.1f}, median {stay.left_median:g} days",
            "from intake to outcome, the same day as one; too short, since those that "
            "stay are not in it",
        )
    yield FigureLine(
        "Length of stay of those that came",
        _half(stay.course, "stay"),
        "Kaplan and Meier 1958: who is still in care counts until today",
    )


def _capacity(found: Figures) -> FigureLine:
    room = found.capacity
    needed = "cannot be said, since none left"
    if room.needed is not None:
        needed = f"{room.needed:.1f}"
    return FigureLine(
        "Places needed (capacity for care)",
        f"{needed}; counted day by day there were {room.mean:.1f}, and "
        f"{room.most} on the fullest day",
        f"intakes a day ({room.intake_a_day.value:.3f}; 95 times in 100 between "
        f"{room.intake_a_day.low:.3f} and {room.intake_a_day.high:.3f}) times length of "
        "stay by animal-days",
    )


def _half(course: Course, verb: str) -> str:
    """Return how long half of them last, or that it is not known yet."""
    if not course.watched:
        return "nothing is on record"
    if course.median is None:
        return (
            f"fewer than half have ended; the longest is {course.longest:g} days so far"
        )
    return f"half {verb} at most {course.median:g} days"
