"""What is done with the chosen eggs of a box, and how the last of it is taken back."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from django.contrib import messages
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from clutches.actions.egg_checks import (
    EggCheckRow,
    record_egg_checks,
    strike_egg_checks,
)
from clutches.actions.eggs import EggChange, set_eggs
from clutches.actions.mending import EggMend, mend_eggs
from clutches.models import Egg, EggBox, EggCheck
from clutches.queries.grids import eggs_in
from clutches.rules.eggs.mending import Mended
from clutches.rules.eggs.placing import PlacingError
from clutches.rules.vocabulary import Candled, EggState, FailureCause
from core.models import User
from husbandry.actions.care_records import CareResult
from husbandry.rules.vocabulary import RowOutcome
from staff.doors import person
from staff.egg_forms import HATCHED, EggsForm, instant_of
from staff.egg_words import SEEN, state
from staff.units import count, day

KEY = "undo_eggs"
REASON = "Taken back on the page of the box."


@dataclass(frozen=True, slots=True)
class Undone:
    """What was taken back, and what to know of it."""

    what: str
    remarks: tuple[str, ...] = ()


def act(request: HttpRequest, box: EggBox, form: EggsForm) -> str:
    """Do what the form says with the chosen eggs, and tell what was done.

    Of eggs that hatched their young are asked for first: nothing is done yet.

    Returns:
        The address of the page that comes next.

    Raises:
        DomainError: what became of the eggs is refused, or they lie there no more;
            nothing is changed.
    """
    eggs = eggs_in(box=box, keys=form.chosen)
    if not eggs:
        raise PlacingError(
            f"The eggs that were chosen left box {box.code} meanwhile. Look again.",
            fields={"eggs": "eggs that lie in the box"},
        )
    what = form.cleaned_data["what"]
    if what == HATCHED:
        return _to_hatching(box, eggs, form.cleaned_data["on"])
    if what in set(Candled):
        _candle(request, box, eggs, form)
    else:
        _set(request, box, eggs, form)
    return reverse("staff:egg_box", args=[box.code])


def _to_hatching(box: EggBox, eggs: list[Egg], on: date | None) -> str:
    given = [("egg", str(egg.pk)) for egg in eggs]
    given += [("on", on.isoformat())] if on else []
    return f"{reverse('staff:hatching', args=[box.code])}?{urlencode(given)}"


def _candle(request: HttpRequest, box: EggBox, eggs: list[Egg], form: EggsForm) -> None:
    given, now, by = form.cleaned_data, timezone.now(), person(request)
    seen = Candled(given["what"])
    rows = [
        EggCheckRow(
            egg=(egg.clutch.code, egg.number),
            at=instant_of(given["on"], now=now, zone=_zone(egg)),
            seen=seen,
            note=given["note"],
        )
        for egg in eggs
    ]
    results = record_egg_checks(rows=rows, by=by, recorded_at=now)
    stored = [r.record for r in results if r.outcome is RowOutcome.STORED]
    _tell(request, results, SEEN[seen])
    if stored:
        what = f"{SEEN[seen]} at {count(len(stored), 'egg')}"
        request.session[KEY] = {"box": box.code, "what": what, "checks": stored}


def _tell(request: HttpRequest, results: tuple[CareResult, ...], seen: str) -> None:
    """Say how many were kept; of like remarks only the first."""
    stored = sum(r.outcome is RowOutcome.STORED for r in results)
    known = sum(r.outcome is RowOutcome.KNOWN for r in results)
    again = f" {count(known, 'egg')} had it on record." if known else ""
    if stored or known:
        messages.success(request, f"Kept: {seen} at {count(stored, 'egg')}.{again}")
    remarks = [remark for r in results for remark in r.remarks]
    if remarks:
        more = len(remarks) - 1
        others = f" So it is with {count(more, 'other egg')}." if more else ""
        messages.info(request, f"{remarks[0]}{others}")
    for result in results:
        if result.outcome is RowOutcome.REFUSED:
            messages.error(request, result.sentence)


def _set(request: HttpRequest, box: EggBox, eggs: list[Egg], form: EggsForm) -> None:
    given, now, by = form.cleaned_data, timezone.now(), person(request)
    to = EggState(given["what"])
    cause = FailureCause(given["cause"]) if given["cause"] else None
    before = [_kept(egg) for egg in eggs]
    changes = [EggChange(egg, to, cause, given["note"]) for egg in eggs]
    on = given["on"] or now.astimezone(_zone(eggs[0])).date()
    set_eggs(changes=changes, on=on, by=by, at=now)
    what = f"{state(to, cause)}: {count(len(eggs), 'egg')} on {day(on)}"
    messages.success(request, f"Kept: {what}.")
    request.session[KEY] = {"box": box.code, "what": what, "eggs": before}


def kept_undo(request: HttpRequest, box: EggBox) -> str:
    """Return what can be taken back in a box; "" where there is nothing."""
    kept: dict[str, Any] = request.session.get(KEY, {})
    return str(kept["what"]) if kept.get("box") == box.code else ""


def undo(request: HttpRequest, box: EggBox) -> Undone | None:
    """Take back what this person did last in a box.

    Returns:
        What was taken back; None: there is nothing.

    Raises:
        DomainError: it cannot be taken back any more.
    """
    kept: dict[str, Any] = request.session.get(KEY, {})
    if kept.get("box") != box.code:
        return None
    del request.session[KEY]
    by, at = person(request), timezone.now()
    if "checks" in kept:
        checks = list(EggCheck.objects.filter(pk__in=kept["checks"]))
        strike_egg_checks(checks=checks, reason=REASON, by=by, at=at)
        return Undone(kept["what"])
    return Undone(kept["what"], _mend(kept["eggs"], by, at))


def _mend(kept: list[dict[str, Any]], by: User, at: datetime) -> tuple[str, ...]:
    rows = Egg.objects.in_bulk([one["egg"] for one in kept])
    mends = [
        EggMend(
            rows[one["egg"]],
            Mended(
                EggState(one["state"]),
                pipped_on=_day(one["pipped_on"]),
                ended_on=_day(one["ended_on"]),
                cause=FailureCause(one["cause"]) if one["cause"] else None,
            ),
        )
        for one in kept
    ]
    return mend_eggs(mends=mends, reason=REASON, by=by, at=at).remarks


def _kept(egg: Egg) -> dict[str, Any]:
    """Return how an egg stands, as a session keeps it."""
    return {
        "egg": egg.pk,
        "state": egg.state,
        "pipped_on": egg.pipped_on.isoformat() if egg.pipped_on else None,
        "ended_on": egg.ended_on.isoformat() if egg.ended_on else None,
        "cause": egg.cause,
    }


def _day(text: str | None) -> date | None:
    return date.fromisoformat(text) if text else None


def _zone(egg: Egg) -> ZoneInfo:
    return ZoneInfo(egg.clutch.site.time_zone)
