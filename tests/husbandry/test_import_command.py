"""The command that takes in a file: what it says, and its exit codes."""

import io
from datetime import date
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from husbandry.models import Probe, Reading, ReadingImport
from tests.factories import ProbeFactory

pytestmark = pytest.mark.django_db

PLAIN = """Date,Temperature (C),Humidity (%)
2026-03-01 10:00,24.5,48.0
2026-03-01 10:05,24.6,47.5
"""
UNCLEAR = """Date,Temperature
03/04/2026 10:00,70.5
03/04/2026 11:00,71.5
"""
TWO_ROOMS = """Time,Sensor,Temperature (C)
2026-03-01 10:00,north,30.0
2026-03-01 10:00,south,22.0
"""
LOST = "Date,Temperature (C)\n" + "".join(
    f"2026-03-01 {hour:02d}:00,{240 + hour}\n" for hour in range(24)
)


@pytest.fixture
def probe() -> Probe:
    return ProbeFactory(code="TUB-12", from_on=date(2026, 1, 1))


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "tub.csv"
    path.write_text(PLAIN)
    return path


def run(*arguments: object) -> str:
    out = io.StringIO()
    call_command("import_readings", *map(str, arguments), stdout=out)
    return out.getvalue()


def refusal(*arguments: object) -> tuple[int, str]:
    with pytest.raises(CommandError) as refused:
        run(*arguments)
    return refused.value.returncode, str(refused.value)


def test_no_more_refusals_are_printed_than_one_reads(file: Path, probe: Probe) -> None:
    rows = [f"2026-03-01 {m // 60:02d}:{m % 60:02d},24.5" for m in range(50)]
    file.write_text("\n".join(["Date,Temperature (C)", *rows]))
    run(file, "--probe", "TUB-12")
    file.write_text(file.read_text().replace("24.5", "25.5"))

    said = run(file, "--probe", "TUB-12").splitlines()

    assert sum(line.startswith("Line ") for line in said) == 20
    assert said[-1] == "… and 30 more like these."


def test_a_file_is_taken_in_and_the_report_printed(file: Path, probe: Probe) -> None:
    said = run(file, "--probe", "TUB-12")

    assert said.splitlines()[:3] == [
        "tub.csv: 2 rows read, from 2026-03-01T10:00:00Z to 2026-03-01T10:05:00Z.",
        "2 readings stored, 0 known already.",
        "'Temperature (C)' is temperature in °C of probe TUB-12.",
    ]
    assert Reading.objects.filter(probe=probe).count() == 2


def test_a_dry_run_shows_the_file_and_stores_nothing(file: Path, probe: Probe) -> None:
    said = run(file, "--probe", "TUB-12", "--dry-run")

    assert said.splitlines() == [
        "tub.csv: 2 rows. The first ones:",
        "  Date | Temperature (C) | Humidity (%)",
        "  2026-03-01 10:00 | 24.5 | 48.0",
        "  2026-03-01 10:05 | 24.6 | 47.5",
        "'Temperature (C)' is temperature in °C of probe TUB-12.",
        "'Humidity (%)' is humidity in % of probe TUB-12.",
        "The clock runs in the site's local time.",
        "Nothing was stored: this was a dry run.",
    ]
    assert not Reading.objects.exists()
    assert not ReadingImport.objects.exists()


def test_a_dry_run_shows_the_questions(file: Path) -> None:
    file.write_text(UNCLEAR)

    said = run(file, "--dry-run")

    assert "Answer with --day-order dmy or mdy." in said
    assert "Answer with --unit C or F." in said
    assert "Which probe does the file belong to? Answer with --probe CODE" in said


def test_a_dry_run_says_nothing_of_a_clock_that_is_not_decided(file: Path) -> None:
    file.write_text(PLAIN.replace("Date", "Date (CST)"))

    said = run(file, "--dry-run")

    assert "The clock runs" not in said
    assert "--zone site, --zone +01:00 or --zone Europe/Lisbon" in said


def test_what_the_file_does_not_say_is_asked_with_the_option(
    file: Path, probe: Probe
) -> None:
    file.write_text(UNCLEAR)

    code, said = refusal(file, "--probe", "TUB-12")

    assert code == 2
    assert said.splitlines()[0] == (
        "Nothing was taken yet, because the file does not say enough:"
    )
    assert said.splitlines()[1].endswith("Answer with --day-order dmy or mdy.")
    assert not ReadingImport.objects.exists()


def test_the_answers_are_options(file: Path, probe: Probe) -> None:
    file.write_text(UNCLEAR)

    options = ["--day-order=mdy", "--unit=F", "--zone=+00:00", "--save-mapping=attic"]
    run(file, "--probe", "TUB-12", *options)
    again = run(file, "--source", "attic")

    readings = Reading.objects.order_by("at")
    assert list(readings.values_list("at", "temperature_milli_c")) == [
        (1_772_618_400, 21_389),  # 2026-03-04T10:00Z, 70.5 °F
        (1_772_622_000, 21_944),
    ]
    assert "0 readings stored, 2 known already." in again


def test_times_without_dates_and_columns_without_meaning(
    file: Path, probe: Probe
) -> None:
    file.write_text("Time,Bottom left\n10:00,24.5\n10:05,24.6\n")

    options = ["--starts-on=2026-03-01", "--column=Bottom left=temperature_c"]
    run(file, "--probe", "TUB-12", "--unit=C", "--zone=+00:00", *options)

    assert Reading.objects.order_by("at").values_list("at", flat=True)[0] == (
        1_772_359_200  # 2026-03-01T10:00Z
    )


def test_each_channel_has_its_probe_or_is_left_out(file: Path, probe: Probe) -> None:
    other = ProbeFactory(code="TUB-13", from_on=date(2026, 1, 1))
    file.write_text(TWO_ROOMS)

    run(file, "--probe", "north=TUB-12", "--leave-out", "south")
    run(file, "--probe", "north=TUB-12", "--probe", "south=TUB-13")

    assert Reading.objects.filter(probe=probe).count() == 1
    assert Reading.objects.filter(probe=other).count() == 1


def test_a_refused_file_ends_with_one(file: Path, probe: Probe) -> None:
    file.write_text(LOST)

    code, said = refusal(file, "--probe", "TUB-12")

    assert code == 1
    assert "decimals are lost" in said
    assert ReadingImport.objects.get().accepted is False


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["--probe", "tub-21"], "There is no probe 'tub-21'. Did you mean TUB-12?"),
        (["--source", "attic"], "No mapping is saved for the source 'attic'."),
        (["--probe", "TUB-12", "--zone", "Mars/Base"], "zone cannot be 'Mars/Base'."),
        (["--probe", "x=TUB-12"], "The file has no channel 'x'."),
    ],
)
def test_wrong_arguments_end_with_two(
    file: Path, probe: Probe, arguments: list[str], sentence: str
) -> None:
    code, said = refusal(file, *arguments)

    assert code == 2
    assert sentence in said
    assert not ReadingImport.objects.exists()


@pytest.mark.parametrize(
    ("option", "value", "sentence"),
    [
        ("--unit", "K", "argument --unit"),
        ("--column", "Dew=dew", "'Dew=dew' is no HEADING=QUANTITY"),
        ("--column", "=uv_index", "'=uv_index' is no HEADING=QUANTITY"),
        ("--starts-on", "1 March", "argument --starts-on"),
        ("--day-order", "ydm", "argument --day-order"),
    ],
)
def test_an_option_that_cannot_be_read_is_named(
    file: Path, probe: Probe, option: str, value: str, sentence: str
) -> None:
    _, said = refusal(file, "--probe", "TUB-12", option, value)

    assert sentence in said


def test_a_file_that_is_not_there_ends_with_two(tmp_path: Path) -> None:
    missing = tmp_path / "gone.csv"

    code, said = refusal(missing, "--probe", "TUB-12")

    assert (code, said) == (
        2,
        f"{missing} cannot be read: No such file or directory. Give a file.",
    )
