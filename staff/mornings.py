"""The morning sheet: what the last night found, worst first."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from core.roles import Permission
from husbandry.models import Finding, ReviewRun
from husbandry.queries.mornings import (
    MorningFinding,
    findings_by_morning,
)
from husbandry.queries.review_states import OpenNight, SiteMorning, site_mornings
from husbandry.rules.sentences import numbers
from husbandry.rules.sentences.findings import describe
from husbandry.rules.sentences.names import listed
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind, ReviewState, Urgency
from staff.cards import Card, card, worst_first
from staff.doors import opens_to, person
from staff.units import clock, count, units_of, weekday
from staff.waiting import waiting_line

# With more than these nobody reads them all before the lights come on: the rest
# stand as single lines, each with its own page.
FULL_CARDS = 40
COMPLETE_FROM_SHARE = 0.995
NAMED_PROBES = 6
HEADINGS = {
    Urgency.NOW: ("Now", "Before anything else."),
    Urgency.TODAY: ("Today", "Before the day is over."),
    Urgency.WATCH: ("Watch", "Keep an eye on it."),
}


@dataclass(frozen=True, slots=True)
class Reviewed:
    """One site's night in a line; `whole` says that no data were missing."""

    text: str
    whole: bool


@dataclass(frozen=True, slots=True)
class Group:
    """The findings of one urgency; `lines` are those that no longer stand in full."""

    urgency: Urgency
    title: str
    hint: str
    cards: tuple[Card, ...]
    lines: tuple[Card, ...]

    @property
    def total(self) -> int:
        """Return how many there are."""
        return len(self.cards) + len(self.lines)


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything on the page.

    Attributes:
        on: the night shown; None where nothing was ever reviewed.
        unknown: what is not known, a sentence each.
        waiting: which readings wait for somebody to say whose they are; "": none do.
        quiet: findings that people moved below the others.
        closed: what was so the night before and is no longer, a line each.
    """

    on: date | None
    title: str
    reviewed: tuple[Reviewed, ...]
    unknown: tuple[str, ...]
    waiting: str
    groups: tuple[Group, ...]
    quiet: tuple[Card, ...]
    closed: tuple[str, ...]
    earlier: date | None
    later: date | None
    any_site: bool

    @property
    def found(self) -> int:
        """Return how many findings stand open, quiet ones included."""
        return sum(group.total for group in self.groups) + len(self.quiet)

    @property
    def summary(self) -> str:
        """Return how many findings there are of each urgency, in words."""
        counts = [
            f"{group.total} {group.title.lower()}"
            for group in self.groups
            if group.total
        ]
        quiet = [f"{len(self.quiet)} quiet"] if self.quiet else []
        return ", ".join([*counts, *quiet])


@opens_to(Permission.SEE_FINDINGS)
def morning(request: HttpRequest) -> HttpResponse:
    """Show what a night found: the last one, or that of `?night=YYYY-MM-DD`."""
    asked = request.GET.get("night", "")
    try:
        on = date.fromisoformat(asked) if asked else None
    except ValueError:
        refused = f"{asked!r} is no date. Write it as 2027-03-12."
        return render(request, "staff/refused.html", {"refused": refused}, status=400)
    reader = person(request)
    context = {
        "sheet": sheet_of(at=timezone.now(), on=on, units=units_of(reader)),
        "may_acknowledge": reader.may(Permission.ACKNOWLEDGE_FINDINGS),
    }
    return render(request, "staff/morning.html", context)


def sheet_of(*, at: datetime, on: date | None, units: Units) -> Sheet:
    """Return the morning sheet after a night; seven queries at most.

    Args:
        at: now.
        on: the night; None: each site's last reviewed one.
        units: the units the reader chose.
    """
    sites = site_mornings(at=at, on=on)
    nights = {m.site.pk: m.run.on for m in sites if m.run is not None}
    found, closed = findings_by_morning(nights=nights)
    several = len(sites) > 1
    ordered = sorted(found, key=worst_first)
    cards = [card(f, units=units, with_site=several) for f in ordered]
    shown = on or max(nights.values(), default=None)
    last = max((m.last_finished_on for m in sites), default=None)
    return Sheet(
        on=shown,
        title=f"Morning after {weekday(shown)}" if shown else "Morning",
        reviewed=tuple(
            _reviewed(m.run, m.site.name, ZoneInfo(m.site.time_zone))
            for m in sites
            if m.run is not None
        ),
        unknown=(*_unreviewed(sites, on), *_failures(sites), *_silent(ordered, units)),
        waiting=waiting_line(at=at, sites=sites) if on is None else "",
        groups=_groups([c for c in cards if not c.quiet]),
        quiet=tuple(c for c in cards if c.quiet),
        closed=tuple(_closed_line(row, units) for row in closed),
        earlier=shown - timedelta(days=1) if shown else None,
        later=shown + timedelta(days=1) if shown and last and shown < last else None,
        any_site=bool(sites),
    )


def _reviewed(run: ReviewRun, site: str, zone: ZoneInfo) -> Reviewed:
    when = clock(run.finished_at or run.started_at, zone)
    if run.coverage is None:
        data = "No probe was in use, so no conditions were compared."
    else:
        share = f"{100 * run.coverage:.0f} %"
        if run.coverage < 1 and share == "100 %":
            share = "almost 100 %"
        probes = count(run.probes, "probe")
        data = f"{share} of the data from {probes} were there."
    return Reviewed(
        text=(
            f"{site}: {weekday(run.on)} was reviewed on {when}, for "
            f"{count(run.animals, 'animal')}. {data}"
        ),
        whole=run.coverage is not None
        and run.coverage >= COMPLETE_FROM_SHARE
        and run.state == ReviewState.DONE,
    )


REASONS = {
    ReviewState.RUNNING: "is being reviewed at this moment",
    ReviewState.FAILED: "could not be reviewed: its review stopped with an error. Tell "
    "whoever runs the program; the log says why",
}


def _unreviewed(sites: Sequence[SiteMorning], on: date | None) -> list[str]:
    lines = []
    for site in sites:
        name = site.site.name
        nights = [n for n in site.open_nights if on is None or n.on == on]
        lines += [
            f"{name}: {_reason(night)}." for night in nights if not _untried(night)
        ]
        if untried := [night.on for night in nights if _untried(night)]:
            lines.append(f"{name}: {_untried_line(untried)}")
        if on is not None and on > site.last_finished_on:
            lines.append(f"{name}: {weekday(on)} is not over yet.")
    return lines


def _untried(night: OpenNight) -> bool:
    return night.state is None


def _untried_line(days: list[date]) -> str:
    if len(days) == 1:
        return f"{weekday(days[0])} has not been reviewed: nothing was compared."
    return (
        f"{len(days)} nights from {weekday(days[0])} to {weekday(days[-1])} have not "
        "been reviewed. Look whether the nightly work runs."
    )


def _reason(night: OpenNight) -> str:
    if night.stale:
        return (
            f"{weekday(night.on)} was reviewed, but something was recorded for it "
            "afterwards; the next review takes it in"
        )
    state = night.state or ReviewState.FAILED
    return f"{weekday(night.on)} {REASONS.get(state, 'has no review in force')}"


def _failures(sites: Sequence[SiteMorning]) -> list[str]:
    lines = []
    for site in sites:
        failures = site.run.failures if site.run else []
        if failures:
            animals = ", ".join(str(f["animal"]) for f in failures)
            lines.append(
                f"{site.site.name}: {count(len(failures), 'animal')} could not be "
                f"reviewed: {animals}. Look at them yourself."
            )
    return lines


def _silent(found: Sequence[MorningFinding], units: Units) -> list[str]:
    silent = [f for f in found if _is_silence(f)]
    if not silent:
        return []
    told = [_silent_probe(f, units) for f in silent[:NAMED_PROBES]]
    rest = len(silent) - len(told)
    probes = sum(max(1, len(f.evidence.get("probes", ()))) for f in silent)
    more = [f"{rest} more, below"] if rest else []
    return [
        f"{count(probes, 'probe was silent', 'probes were silent')}: "
        f"{'; '.join([*told, *more])}. What happened meanwhile nobody knows."
    ]


def _is_silence(found: MorningFinding) -> bool:
    """Say whether a probe gave no word; among eggs the eggs' finding tells it."""
    if found.row.kind == FindingKind.EGGS_UNMEASURED:
        return found.evidence.get("why") == "gap"
    return found.row.kind == FindingKind.NO_DATA


def _silent_probe(found: MorningFinding, units: Units) -> str:
    words = card(found, units=units).words
    if found.row.kind == FindingKind.EGGS_UNMEASURED:
        silence = numbers.duration(3600 * float(found.evidence.get("hours") or 0))
        return f"{_probes(found)} ({words.who}) for {silence}"
    name = found.row.probe.code if found.row.probe else ""
    covered, expected = (
        found.evidence.get("covered_s"),
        found.evidence.get("expected_s"),
    )
    if covered is None or expected is None:
        return f"{name} ({words.who})"
    silence = f"for {numbers.duration(expected - covered)}" if covered else "all day"
    return f"{name} ({words.who}) {silence}"


def _probes(found: MorningFinding) -> str:
    return listed([str(code) for code in found.evidence.get("probes", ())])


def _groups(cards: Sequence[Card]) -> tuple[Group, ...]:
    groups = []
    room = FULL_CARDS
    for urgency, (title, hint) in HEADINGS.items():
        mine = [c for c in cards if c.urgency is urgency]
        groups.append(
            Group(urgency, title, hint, tuple(mine[:room]), tuple(mine[room:]))
        )
        room = max(0, room - len(mine))
    return tuple(groups)


def _closed_line(row: Finding, units: Units) -> str:
    label = row.kind.replace("_", " ")
    try:
        words = describe(FindingKind(row.kind), row.evidence, units=units)
    except (KeyError, TypeError, ValueError, AttributeError):
        return f"{row.animal or row.enclosure or row.key}: {label}"
    nights = count(row.nights_seen, "night")
    return f"{words.who}: {label}, after {nights}. It was: {words.what}"
