"""The demo's reviews find every planted fault, and nothing else."""

import re
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.db import transaction
from pypdf import PdfReader

from core.models import User
from demo import scenario
from demo.animals import ANIMALS
from demo.build import Demo, built_demo
from demo.enclosures import ENCLOSURES, FILES, PROBES
from demo.faults import EXPECTED, FAULTS
from demo.homes import GONE
from demo.measuring import write_logger_files
from demo.nights import Nights
from demo.plans import NIGHTS
from husbandry.models import (
    Animal,
    Conditions,
    Enclosure,
    Finding,
    Probe,
    Reading,
    ReadingImport,
    ReviewRun,
    Sighting,
)
from husbandry.queries.findings import nights_to_review
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import FindingKind, ReviewState
from staff.evidence import evidence_rows
from tests.demo import fortnights

# Without it no database would be made where this file is run alone.
pytestmark = pytest.mark.django_db
UNTIL = date(2026, 3, 14)


@pytest.fixture(scope="module")
def demo(django_db_setup: None, django_db_blocker, tmp_path_factory) -> Iterator[Demo]:
    """Build once for the whole module; every test looks, and none changes it."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield fortnights.build_until(UNTIL, tmp_path_factory.mktemp("demo"))
        transaction.set_rollback(True)


def test_every_planted_fault_is_found_and_nothing_else(demo: Demo):
    assert fortnights.found(demo) == set(EXPECTED)
    assert Finding.objects.count() == len(EXPECTED)


def test_every_night_saw_exactly_what_was_wrong_on_it(demo: Demo):
    nights, known = Nights(UNTIL, fortnights.ZONE), fortnights.codes()

    seen = {
        (nights.number(row.on), fortnights.parts(row.key, known))
        for row in Sighting.objects.filter(seen=True)
    }

    wanted = {
        (night, fortnights.expected_parts(one))
        for one in EXPECTED
        for night in range(one.opened, one.closed or NIGHTS + 1)
    }
    assert seen == wanted


def test_only_the_silent_probe_leaves_nights_undecided(demo: Demo):
    nights, known = Nights(UNTIL, fortnights.ZONE), fortnights.codes()

    undecided = {
        (nights.number(row.on), *fortnights.parts(row.key, known)[1:4])
        for row in Sighting.objects.filter(seen=False)
    }

    assert undecided == {
        (night, "V-0409", quantity, "ambient")
        for night in (12, 13, 14)
        for quantity in ("temperature_c", "humidity_pct")
    }


def test_faults_show_many_kinds_and_both_ends(demo: Demo):
    closed = {one for one in EXPECTED if one.closed is not None}

    assert len({one.kind for one in EXPECTED}) >= 12
    assert len(closed) >= 5
    assert len(EXPECTED) - len(closed) >= 5
    assert len(set(EXPECTED)) == sum(len(fault.expected) for fault in FAULTS)


def test_the_table_behind_every_finding_reads_like_words(demo: Demo):
    raw = re.compile(r"_|\d{4}-\d\d-\d\d|True|False|None|[{}\[\]]")
    lines = [
        (row.kind, line.label, line.value)
        for row in Finding.objects.all()
        for line in evidence_rows(
            row.evidence, units=METRIC, kind=FindingKind(row.kind)
        )
    ]

    assert len(lines) > 300
    assert [line for line in lines if raw.search(f"{line[1]} {line[2]}")] == []


def test_every_night_was_reviewed_whole(demo: Demo):
    runs = ReviewRun.objects.filter(site=demo.site).order_by("on")

    assert [run.on for run in runs] == [
        Nights(UNTIL, fortnights.ZONE).on(night) for night in range(1, NIGHTS + 1)
    ]
    assert {run.state for run in runs} == {ReviewState.DONE.value}
    assert all(run.stale_since is None and not run.failures for run in runs)
    assert runs.last().animals == len(ANIMALS)


def test_nothing_is_left_for_the_schedule_to_catch_up(demo: Demo):
    assert (
        nights_to_review(
            site=demo.site, until=UNTIL, at_most=fortnights.timedelta(days=400)
        )
        == []
    )


def test_everything_of_the_tables_is_on_record(demo: Demo):
    assert set(Animal.objects.values_list("code", flat=True)) == {
        plan.code for plan in (*ANIMALS, *GONE)
    }
    assert set(Enclosure.objects.values_list("code", flat=True)) == {
        plan.code for plan in ENCLOSURES
    }
    assert set(Probe.objects.values_list("code", flat=True)) == {
        plan.code for plan in PROBES
    }
    people = {u.username: u for u in User.objects.all()}
    for person in scenario.PEOPLE:
        assert people[person.username].role == person.role.value
        assert people[person.username].check_password(person.password)


def test_every_file_was_taken_in_without_a_refused_row(demo: Demo):
    imports = ReadingImport.objects.all()

    assert {record.file_name for record in imports} == set(FILES)
    assert all(record.accepted and record.rows_refused == 0 for record in imports)
    # Ten-minute readings of 14 days of 24 hours; one probe silent for three days, one
    # for the three hours of a power cut.
    assert Reading.objects.count() == len(PROBES) * 2016 - 3 * 144 - 3 * 6


def test_what_is_not_planted_keeps_well_within_its_targets(demo: Demo):
    """Half of the tolerated time is left wherever nothing is wrong."""
    species = Animal.objects.values_list("species", flat=True).first()
    found = profile_in_force(species_id=species, on=UNTIL)
    tolerated_s = {
        (t.quantity.value, t.zone.value, t.period.value): 60 * t.tolerated_minutes
        for t in found.profile.targets
    }
    broken = {
        (row.probe_id, row.on, row.evidence["quantity"], row.evidence["period"])
        for row in Sighting.objects.filter(
            seen=True, kind__in=[FindingKind.ABOVE_TARGET, FindingKind.BELOW_TARGET]
        )
    }
    judged = [
        row
        for row in Conditions.objects.select_related("probe")
        if (row.low, row.high) != (None, None)
        and (row.probe_id, row.on, row.quantity, row.period) not in broken
    ]

    share = max(
        (row.below_s + row.above_s)
        / tolerated_s[row.quantity, row.probe.zone, row.period]
        for row in judged
    )

    assert len(judged) > 2000
    assert share < 0.5


def test_the_fogless_night_is_as_damp_as_the_room(demo: Demo):
    """Worked out by hand: the room's 8.1 g/m³ in air of the room's night.

    Saturated air of 15.6 °C holds 13.3 g/m³ (Magnus, WMO-No. 8), so that is 61 %;
    the swings of the weather are worth two points, the evening's end of the warm day
    and the misting a few more.
    """
    nights = Nights(UNTIL, fortnights.ZONE)
    row = Conditions.objects.get(
        probe__code="L-03-leaf",
        on=nights.on(9),
        period="night",
        quantity="humidity_pct",
        band=0,
    )

    assert row.mean == pytest.approx(61, abs=4)


def test_the_subadult_goes_home_with_a_packet(demo: Demo, tmp_path):
    out = StringIO()

    call_command("demo", folder=tmp_path, stdout=out)

    path = tmp_path / f"packet-{demo.packet.number}.pdf"
    text = "".join(page.extract_text() for page in PdfReader(path).pages)
    assert "Avela" in text
    assert str(path) in out.getvalue()


def test_a_second_build_says_so_and_changes_nothing(demo: Demo, tmp_path):
    before = fortnights.everything()
    out = StringIO()

    call_command("demo", folder=tmp_path, stdout=out)

    assert "The demo stands already, until 14 Mar 2026; nothing was changed." in (
        out.getvalue()
    )
    assert fortnights.everything() == before
    assert not list(tmp_path.glob("*.csv"))
    assert before["husbandry.Reading"][0] > 100_000


def test_the_last_morning_is_told_by_urgency_with_every_open_finding(
    demo: Demo, tmp_path
):
    out = StringIO()
    call_command("demo", folder=tmp_path, stdout=out)
    lines = out.getvalue().splitlines()

    told = {
        urgency: lines.index(f"{urgency}:") for urgency in ("Now", "Today", "Watch")
    }
    assert told["Now"] < told["Today"] < told["Watch"]
    still_open = [one for one in EXPECTED if one.closed is None]
    assert f"14 Mar 2026: {len(still_open)} findings." in out.getvalue()
    for one in still_open:
        assert one.subject in out.getvalue()
    assert "  V-0403 Salva (Nursery rack, N-03): 6.90 g → 6.12 g in 3 days" in (
        out.getvalue()
    )
    assert "./dev serve" in out.getvalue()
    assert "for the demo only" in out.getvalue()


def test_built_demo_knows_its_last_night(demo: Demo):
    assert built_demo() == demo


def test_no_animal_of_the_demo_has_an_impossible_mass():
    masses = [mass_g for plan in ANIMALS for _, mass_g in plan.masses]

    assert all(Decimal(1) < mass_g < Decimal(200) for mass_g in masses)


def test_the_same_fortnight_gives_the_same_files(tmp_path):
    folders = [tmp_path / name for name in ("first", "again")]
    for folder in folders:
        write_logger_files(nights=Nights(UNTIL, fortnights.ZONE), folder=folder)

    for name in FILES:
        first, again = ((folder / name).read_bytes() for folder in folders)
        assert first == again
