"""Every source that is named exists on the page of sources."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

from husbandry.rules.profiles.reading import read_profile

ROOT = Path(settings.BASE_DIR)
ROOMS = ("core", "husbandry", "clutches", "placements")
SECTION = re.compile(
    r"^[ \t]*Source:[ \t]*\n?(.+?)(?:\n[ \t]*\n|\Z)", re.MULTILINE | re.DOTALL
)
# What a section may begin with instead of a key: a decision record, or the plain
# statement that nothing is published.
NO_KEY = ("ADR ", "House rule")
KEY_WITH_YEAR = re.compile(r"[a-z][a-z-]*-(?:19|20)[0-9]{2}\b")


def known_keys() -> set[str]:
    page = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")
    return set(re.findall(r"^\| `([a-z0-9-]+)` \|", page, re.MULTILINE))


def docstrings(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef):
            yield ast.get_docstring(node) or ""


def source_sections() -> Iterator[tuple[str, str]]:
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            for text in docstrings(path):
                for section in SECTION.findall(text):
                    yield path.relative_to(ROOT).as_posix(), " ".join(section.split())


def strangers(section: str, keys: set[str]) -> list[str]:
    """Return the keys of a section that the page of sources does not have."""
    first = re.split(r"[\s,.:;()]", section, maxsplit=1)[0]
    named = [*KEY_WITH_YEAR.findall(section), *re.findall(r"`([^`]+)`", section)]
    if not section.startswith(NO_KEY):
        named.append(first)
    return [key for key in named if key not in keys]


def test_page_of_sources_has_each_key_once() -> None:
    page = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")
    keys = re.findall(r"^\| `([a-z0-9-]+)` \|", page, re.MULTILINE)

    assert len(keys) == len(set(keys)) > 40


def test_every_entry_says_what_it_supports_and_how_it_was_seen() -> None:
    page = (ROOT / "docs" / "sources.md").read_text(encoding="utf-8")

    for row in re.findall(r"^\| `.+$", page, re.MULTILINE):
        cells = [cell.strip() for cell in row.strip("|").split("|")]
        assert len(cells) == 4, row
        assert all(cells), row


@pytest.mark.parametrize(
    "path",
    sorted((ROOT / "husbandry" / "profiles").glob("*.yaml")),
    ids=lambda p: p.name,
)
def test_sources_of_shipped_profiles_are_on_the_page(path: Path) -> None:
    profile = read_profile(path.read_text(encoding="utf-8"), name=path.name)

    assert {s.key for s in profile.sources} - known_keys() == set()


def test_sources_in_docstrings_are_on_the_page() -> None:
    keys = known_keys()
    sections = list(source_sections())

    assert len(sections) > 20
    wrong = {
        f"{where}: {strangers(section, keys)} in {section!r}"
        for where, section in sections
        if strangers(section, keys)
    }
    assert wrong == set()


def test_decision_records_named_as_sources_exist() -> None:
    records = {path.name[:4] for path in (ROOT / "docs" / "adr").glob("*.md")}

    named = {
        number
        for _, section in source_sections()
        for number in re.findall(r"ADR ([0-9]{4})", section)
    }
    assert named - records == set()


@pytest.mark.parametrize(
    ("section", "expected"),
    [
        ("noaa-solar: the equations.", []),
        ("ADR 0002; bounds: `sensor-bounds`.", []),
        ("House rule, no source.", []),
        ("nobody-knows, noaa-solar.", ["nobody-knows"]),
        ("ADR 0002; bounds: `d0`.", ["d0"]),
        ("sen-1968, theil-1950 and nobody-1999.", ["nobody-1999"]),
    ],
)
def test_a_stranger_among_sources_is_found(section: str, expected: list[str]) -> None:
    assert strangers(section, known_keys()) == expected
