"""Breeding: what is due among the eggs today, then clutches by their nearest window."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from clutches.models import EggBox
from clutches.queries.boxes import standing_boxes
from clutches.queries.breeding import BreedingClutch, breeding_list
from clutches.rules.eggs.due import Due
from clutches.rules.vocabulary import EggDue
from core.roles import Permission
from staff import egg_words
from staff.doors import opens_to, person
from staff.units import day

# What cannot wait stands first; a window that is open can.
ORDER = (
    *(EggDue.MIND_PIPPED, EggDue.PLACE_EGGS, EggDue.LOOK_INTO_BOX),
    *(EggDue.CANDLE_EGGS, EggDue.EXPECT_HATCHING),
)


@dataclass(frozen=True, slots=True)
class DueRow:
    """One thing to do today, and the box or clutch where it is done."""

    sentence: str
    box: str
    clutch: str


@dataclass(frozen=True, slots=True)
class ClutchRow:
    """One clutch in the list."""

    clutch: BreedingClutch
    laid: str
    states: str
    stage: str
    windows: tuple[str, ...]
    coming: str


@opens_to(Permission.SEE_ANIMALS)
def breeding(request: HttpRequest) -> HttpResponse:
    """Show what is due among the eggs, and every clutch that is awaited."""
    clutches = breeding_list(at=timezone.now())
    context = {
        "due": due_rows(clutches),
        "clutches": [clutch_row(clutch) for clutch in clutches],
        "boxes": standing_boxes(),
        "any_box": EggBox.objects.exists(),
        "may_record": person(request).may(Permission.RECORD_BREEDING),
    }
    return render(request, "staff/breeding.html", context)


def due_rows(clutches: tuple[BreedingClutch, ...]) -> list[DueRow]:
    """Return what is due today among clutches, the most pressing kind first."""
    found = [
        (
            ORDER.index(one.kind),
            one.on,
            DueRow(egg_words.due(one, clutch), *_at(one, clutch)),
        )
        for clutch in clutches
        for one in clutch.due_today
    ]
    return [row for *_, row in sorted(found, key=lambda one: one[:2])]


def _at(one: Due, clutch: BreedingClutch) -> tuple[str, str]:
    boxes = clutch.waiting.boxes
    return one.box or (boxes[0].code if len(boxes) == 1 else ""), clutch.code


def clutch_row(clutch: BreedingClutch) -> ClutchRow:
    """Return a clutch in words."""
    nearest = clutch.next_due
    return ClutchRow(
        clutch=clutch,
        laid=day(clutch.laid_on),
        states=egg_words.counts(clutch),
        stage=egg_words.STAGES[clutch.expected.stage],
        windows=tuple(dict.fromkeys(map(egg_words.window, clutch.waiting.windows))),
        coming=egg_words.coming(nearest, clutch) if nearest else "",
    )
