"""The one schedule table: what it names exists and says what it does."""

import re
from importlib import import_module
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import call_command

from config.schedule import SCHEDULE, Row, beat_table

ROOMS = (
    "config",
    "core",
    "husbandry",
    "clutches",
    "placements",
    "api",
    "staff",
    "demo",
)


@pytest.mark.parametrize("row", SCHEDULE, ids=lambda row: row.name)
def test_scheduled_task_exists_and_says_what_it_does(row: Row) -> None:
    module, name = row.task.rsplit(".", 1)
    task = getattr(import_module(module), name)

    assert task.name == row.task
    assert task.run.__doc__


def test_an_order_expires_before_the_next_one_comes() -> None:
    for name, entry in beat_table().items():
        schedule = entry["schedule"]
        gap_s = 3600 if len(schedule.hour) == 24 else 86_400
        gap_s = 60 if len(schedule.minute) == 60 else gap_s
        assert entry["options"]["expires"] < gap_s, name


def test_only_the_schedule_names_a_clock_time() -> None:
    naming = [
        str(path)
        for room in ROOMS
        for path in (settings.BASE_DIR / room).rglob("*.py")
        if re.search(r"\bcrontab\b", path.read_text(encoding="utf-8"))
    ]

    assert naming == [str(settings.BASE_DIR / "config" / "schedule.py")]


def test_pages_drawn_from_the_code_are_current() -> None:
    call_command("docs", "--check", stdout=StringIO())


def test_a_page_that_fell_behind_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(settings, "BASE_DIR", tmp_path)
    (tmp_path / "docs").mkdir()

    with pytest.raises(Exception, match=r"nightly\.md.*\./dev docs"):
        call_command("docs", "--check", stdout=StringIO())
