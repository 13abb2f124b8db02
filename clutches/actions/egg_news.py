"""Tell other programs which eggs have hatched."""

from collections.abc import Iterator, Sequence
from datetime import datetime

from clutches.models import Egg
from clutches.rules.vocabulary import EggState
from core.notice_words import NoticeKind
from core.notices import News, tell


def tell_of_hatching(eggs: Sequence[Egg], *, at: datetime) -> None:
    """Tell of those that have hatched; of the others nothing.

    Args:
        eggs: each as it stands now, with its clutch, whose state has just changed.
        at: now.
    """
    hatched = [egg for egg in eggs if egg.state == EggState.HATCHED]
    if hatched:
        tell({NoticeKind.EGG_HATCHED}, lambda: _news(hatched), at=at)


def _news(hatched: Sequence[Egg]) -> Iterator[News]:
    for egg in hatched:
        yield News(
            NoticeKind.EGG_HATCHED,
            egg.pk,
            {
                "clutch": egg.clutch.code,
                "number": egg.number,
                "hatched_on": egg.ended_on.isoformat() if egg.ended_on else None,
            },
        )
