"""Build the demo for a test, and read what its reviews said by the demo's own codes."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time, timedelta
from hashlib import sha256
from pathlib import Path
from zoneinfo import ZoneInfo

from django.apps import apps

from clutches.models import Clutch, EggBox
from core.models import Room
from demo import scenario
from demo.build import Demo, build
from demo.nights import Nights
from demo.plans import Expected
from husbandry.models import Animal, Enclosure, Finding, Probe
from husbandry.rules.vocabulary import FindingKind, Urgency
from placements.models import AnimalPaper, HomeReport, Placement

ZONE = ZoneInfo(scenario.TIME_ZONE)


def morning_after(until: date) -> datetime:
    return datetime.combine(until + timedelta(days=1), time(7, 30), tzinfo=ZONE)


@contextmanager
def unheard(title: str) -> Iterator[None]:
    yield


def build_until(until: date, folder: Path) -> Demo:
    return build(until=until, folder=folder, step=unheard, at=morning_after(until))


def codes() -> dict[tuple[str, str], str]:
    """Return the code of everything a key can name: by its word and its id."""
    models = {
        "animal": Animal,
        "enclosure": Enclosure,
        "probe": Probe,
        "room": Room,
        "clutch": Clutch,
        "box": EggBox,
    }
    known = {
        (word, str(row.pk)): row.code
        for word, model in models.items()
        for row in model.objects.all()
    }
    papers = AnimalPaper.objects.values_list("pk", "number")
    placements = Placement.objects.values_list("pk", "animal__code")
    reports = HomeReport.objects.values_list("pk", "placement__animal__code")
    for word, rows in (
        ("paper", papers),
        ("placement", placements),
        ("report", reports),
    ):
        known |= {(word, str(pk)): code for pk, code in rows}
    return known


def parts(key: str, known: dict[tuple[str, str], str]) -> tuple[str, ...]:
    """Return a key as kind, code of its subject, and detail.

    Of the detail without numbers of rows and without the staple of the day, which
    depend on the database and on the date.
    """
    kind, word, pk, *detail = key.split(":")
    same = (d for d in detail if not d.isdigit() and not d.startswith("feeder-"))
    return (kind, known[word, pk], *same)


def expected_parts(one: Expected) -> tuple[str, ...]:
    return (one.kind.value, one.subject, *one.detail)


def found(demo: Demo) -> set[Expected]:
    """Return the findings on record, in the form of the table of faults."""
    nights, known = Nights(demo.until, ZONE), codes()
    rows = Finding.objects.filter(site=demo.site, withdrawn_on__isnull=True)
    return {_as_expected(row, nights, known) for row in rows}


def _as_expected(
    row: Finding, nights: Nights, known: dict[tuple[str, str], str]
) -> Expected:
    kind, subject, *detail = parts(row.key, known)
    return Expected(
        kind=FindingKind(kind),
        subject=subject,
        detail=tuple(detail),
        opened=nights.number(row.opened_on),
        closed=nights.number(row.closed_on) if row.closed_on else None,
        urgency=Urgency(row.urgency),
    )


def everything() -> dict[str, tuple[int, str]]:
    """Return of every table how many rows it has, and a hash over all of them."""
    rooms = ("core", "husbandry", "clutches", "placements")
    models = [m for m in apps.get_models() if m._meta.app_label in rooms]
    return {model._meta.label: _table(model.objects.order_by("pk")) for model in models}


def _table(rows) -> tuple[int, str]:
    values = list(rows.values_list())
    return len(values), sha256(repr(values).encode()).hexdigest()
