"""The style of the house, as far as a machine can hold it."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings

ROOT: Path = settings.BASE_DIR
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
WRITES = {
    "save",
    "create",
    "bulk_create",
    "bulk_update",
    "get_or_create",
    "update_or_create",
    "delete",
}
NOT_THE_DATABASE = {"super()", "cache"}
LONGEST = 300
# Each with its reason: what stands in one file although it is longer.
LONG_FILES = {
    "dev": "runs before anything is installed, so it cannot import its parts",
    "husbandry/rules/loggers/lexicon.py": "a data table: words of many languages",
    "husbandry/rules/profiles/values.py": "the schema: one value after the other",
    "husbandry/rules/vocabulary.py": "a data table: the room's words",
    "placements/rules/vocabulary.py": "a data table: the room's words",
}


def sources(*patterns: str) -> Iterator[Path]:
    for room in ROOMS:
        for pattern in patterns:
            yield from sorted((ROOT / room).glob(pattern))


def writing_calls(path: Path) -> list[str]:
    """Calls that write through the ORM, by the names that only it uses."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        owner = ast.unparse(node.func.value)
        if node.func.attr in WRITES and owner not in NOT_THE_DATABASE:
            found.append(
                f"{path.relative_to(ROOT)}:{node.lineno} {owner}.{node.func.attr}"
            )
    return found


def test_queries_never_write() -> None:
    paths = list(sources("queries.py", "queries/**/*.py"))

    assert paths
    assert [call for path in paths for call in writing_calls(path)] == []


def test_doors_write_through_actions_only() -> None:
    doors = [
        *(ROOT / "api").rglob("*.py"),
        *(ROOT / "staff").rglob("*.py"),
        *sources("tasks.py", "admin.py", "admin/**/*.py", "management/**/*.py"),
    ]

    assert doors
    assert [call for path in doors for call in writing_calls(path)] == []


def test_writing_calls_are_seen(tmp_path: Path) -> None:
    path = ROOT / "tests" / "factories.py"
    assert writing_calls(path) == []

    draft = tmp_path / "draft.py"
    draft.write_text("Animal.objects.filter(pk=1).delete()\nsuper().save()\n")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tests.test_house_style.ROOT", tmp_path)
        assert writing_calls(draft) == ["draft.py:1 Animal.objects.filter(pk=1).delete"]


def test_files_stay_small_enough_to_hold_in_mind() -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in [ROOT / "dev", *sources("**/*.py"), *(ROOT / "bench").rglob("*.py")]
        if "migrations" not in path.parts
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST
    }

    assert set(long) == set(LONG_FILES), long


def test_every_room_says_in_one_line_what_it_is() -> None:
    for room in ROOMS:
        tree = ast.parse((ROOT / room / "__init__.py").read_text(encoding="utf-8"))
        assert ast.get_docstring(tree), room


def test_nothing_reaches_for_models_by_name_outside_migrations() -> None:
    reaching = [
        str(path.relative_to(ROOT))
        for path in sources("**/*.py")
        if "migrations" not in path.parts
        if "get_model(" in path.read_text(encoding="utf-8")
    ]

    assert reaching == []
