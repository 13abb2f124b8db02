"""Everything about one animal, and everything of the organisation."""

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from hashlib import sha256
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import connection
from django.test.utils import CaptureQueriesContext
from rest_framework.test import APIClient

from api.export_contents import NOT_EXPORTED, TABLES
from core.exports.columns import column_of
from core.exports.tables import field_at
from core.models import AuditEntry
from core.roles import GRANTS, Permission, Role
from husbandry.models import Reading
from tests import factories
from tests.api.conftest import Caller
from tests.api.exported import (
    archive,
    as_texts,
    csv_rows,
    manifest,
    ndjson_rows,
    parquet_rows,
)

ROOMS = ("core", "husbandry", "clutches", "placements")
AT = datetime(2026, 3, 2, tzinfo=UTC)
SECRET = "Willa Nettlecombe"
"""Only in what tells of people; it has to be invisible to some."""


def models() -> Iterator[Any]:
    for room in ROOMS:
        yield from apps.get_app_config(room).get_models()


def test_somebody_has_decided_about_every_table() -> None:
    # Readings are read by columns, in a file of their own.
    assert set(models()) == {
        *(table.rows for table in TABLES),
        *NOT_EXPORTED,
        Reading,
    }
    assert len({table.name for table in TABLES}) == len(TABLES) > 70
    for rows, why in NOT_EXPORTED.items():
        assert why.endswith("."), rows


@pytest.mark.parametrize("table", TABLES, ids=lambda t: t.name)
def test_somebody_has_decided_about_every_field(table: Any) -> None:
    """Whoever adds a field says here whether it is exported, and who may see it."""
    fields = {field.name: field.attname for field in table.rows._meta.concrete_fields}
    own = {path.split("__")[0] for path in table.columns}
    told = {name for name, key in fields.items() if {name, key} & own}

    assert set(fields) - told == set(table.left_out)
    assert set(table.guarded) <= set(table.columns)
    columns = [column_of(p, field_at(table.rows, p)).name for p in table.columns]
    assert len(set(columns)) == len(columns)


def test_no_secret_is_in_any_table() -> None:
    paths = {path.split("__")[-1] for table in TABLES for path in table.columns}

    assert paths.isdisjoint({"password", "digest", "prefix", "secret", "last_login"})


@pytest.fixture
def media(tmp_path: Path, settings: Any) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def animal(db: None, media: Path) -> Any:
    """An animal with a row in most tables, and another that must not be told of."""
    animal = factories.AnimalFactory(code="V-1", origin_note=f"Bred by {SECRET}.")
    other = factories.AnimalFactory(code="V-2")
    for one in (animal, other):
        factories.WeighingFactory(animal=one)
        factories.FeedingFactory(animal=one)
    stay = factories.StayFactory(
        animal=animal, from_at=AT, until_at=datetime(2026, 3, 3, tzinfo=UTC)
    )
    probe = factories.ProbeFactory(enclosure=stay.enclosure, code="P-1")
    for at in (-1, 0, 86_399, 86_400):
        factories.ReadingFactory(probe=probe, at=int(AT.timestamp()) + at)
    name = default_storage.save("spur_checks/one.jpg", ContentFile(b"\xff\xd8 picture"))
    factories.SpurCheckFactory(animal=animal, photo=name)
    factories.SpurCheckFactory(animal=animal, photo="spur_checks/lost.jpg")
    paper = default_storage.save("papers/two.jpg", ContentFile(b"\xff\xd8 paper"))
    factories.AnimalPaperFactory(animal=animal, photo=paper, note=f"To {SECRET}.")
    factories.EggFactory(clutch__dam=animal)
    home = factories.HomeFactory(name=SECRET, contact=SECRET)
    placement = factories.PlacementFactory(animal=animal, home=home)
    factories.PacketFactory(placement=placement, snapshot={"animal": "V-1"})
    factories.FollowUpFactory(placement=placement, answers={"how": SECRET})
    factories.HomeReportFactory(placement=placement, note=SECRET)
    factories.ApplicationFactory(
        home=home, animal=animal, answers={"who": SECRET}, told=SECRET
    )
    factories.IntakeFactory(
        animal=animal, arrival=factories.ArrivalFactory(home=home, note=SECRET)
    )
    for subject, key, told in (
        ("husbandry.animal", animal.pk, "moved"),
        ("husbandry.animal", other.pk, "not this one"),
        ("placements.placement", placement.pk, SECRET),
        ("placements.home", home.pk, SECRET),
    ):
        AuditEntry.objects.create(
            at=AT, verb="told", subject=subject, subject_id=key, after={"what": told}
        )
    return animal


def of(client: APIClient, animal: Any, form: str = "csv") -> Any:
    return archive(client, f"animals/{animal.pk}/{form}")


def test_an_animal_is_told_of_and_no_other(owner: APIClient, animal: Any) -> None:
    found = of(owner, animal)
    told = manifest(found)

    assert found.namelist()[-1] == "manifest.json"
    assert told["format"] == "spurbook-export"
    assert (told["version"], told["form"], told["about"]) == (1, "csv", "animal V-1")
    for name in ("animals", "weighings", "feedings", "spur_checks", "papers"):
        rows = csv_rows(found.read(f"{name}.csv"))
        assert {row.get("animal_code", row.get("code")) for row in rows} == {"V-1"}
    everything = b"".join(found.read(name) for name in found.namelist())
    assert b"V-2" not in everything
    assert SECRET.encode() in everything
    # Half-open: the stay ends with the day.
    readings = csv_rows(found.read("readings.csv"))
    assert [row["at"] for row in readings] == [
        *("2026-03-02T00:00:00Z", "2026-03-02T23:59:59Z")
    ]
    [packet] = csv_rows(found.read("packets.csv"))
    assert json.loads(packet["snapshot"]) == {"animal": "V-1"}
    assert len(csv_rows(found.read("eggs.csv"))) == 1
    entries = csv_rows(found.read("audit_entries.csv"))
    assert {(e["subject"], json.loads(e["after"])["what"]) for e in entries} >= {
        ("husbandry.animal", "moved"),
        ("placements.placement", SECRET),
    }


@pytest.mark.parametrize("form", ["csv", "ndjson", "parquet"])
def test_the_manifest_is_true(form: str, owner: APIClient, animal: Any) -> None:
    found = of(owner, animal, form)
    told = manifest(found)
    readers = {"csv": csv_rows, "ndjson": ndjson_rows, "parquet": parquet_rows}

    for table in told["tables"]:
        data = found.read(table["file"])
        assert sha256(data).hexdigest() == table["sha256"]
        assert len(data) == table["bytes"]
        rows = readers[form](data)
        assert len(rows) == table["rows"], table["table"]
        if rows:
            assert [c["name"] for c in table["columns"]] == list(rows[0])
    for file in told["files"]:
        assert sha256(found.read(file["file"])).hexdigest() == file["sha256"]
    names = [f["file"] for f in told["tables"] + told["files"]]
    assert [*names, "manifest.json"] == found.namelist()
    columns = {
        c["name"]: c
        for table in told["tables"]
        if table["table"] == "weighings"
        for c in table["columns"]
    }
    assert columns["mass_g"] == {
        "name": "mass_g",
        "type": "decimal128(9, 2)",
        "unit": "g",
        "meaning": "Grams.",
    }


def test_every_form_tells_the_same(owner: APIClient, animal: Any) -> None:
    tables, lines, columns = (
        of(owner, animal, f) for f in ("csv", "ndjson", "parquet")
    )

    compared = 0
    for table in manifest(tables)["tables"]:
        name = table["table"]
        rows = parquet_rows(columns.read(f"{name}.parquet"))
        objects = ndjson_rows(lines.read(f"{name}.ndjson"))
        documents = {c["name"] for c in table["columns"] if c["type"] == "json"}
        for row in objects:
            for document in documents:
                row[document] = json.dumps(
                    row[document], ensure_ascii=False, separators=(",", ":")
                )
        assert as_texts(objects) == as_texts(rows), name
        assert csv_rows(tables.read(f"{name}.csv")) == as_texts(rows), name
        compared += len(rows)
    assert compared > 20


def test_photographs_go_along_as_they_are(owner: APIClient, animal: Any) -> None:
    found = of(owner, animal)

    assert found.read("files/spur_checks/one.jpg") == b"\xff\xd8 picture"
    assert found.read("files/papers/two.jpg") == b"\xff\xd8 paper"
    assert {
        "name": "files/spur_checks/lost.jpg",
        "why": "The file is not in the store.",
    } in manifest(found)["left_out"]


SEEN_BY = {
    Role.VIEWER: {"homes": False, "placements": False, "audit": False},
    Role.KEEPER: {"homes": False, "placements": False, "audit": False},
    Role.VET: {"homes": False, "placements": True, "audit": True},
    Role.ADOPTION_COORDINATOR: {"homes": True, "placements": True, "audit": False},
    Role.MANAGER: {"homes": True, "placements": True, "audit": True},
    Role.OWNER: {"homes": True, "placements": True, "audit": True},
}


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("form", ["csv", "ndjson", "parquet"])
def test_nobody_is_told_of_homes_who_may_not_see_them(
    role: Role, form: str, caller: Caller, animal: Any
) -> None:
    seen = SEEN_BY[role]

    found = of(caller(role), animal, form)

    names = {name.partition(".")[0] for name in found.namelist()}
    # Parquet compresses: its texts have to be read to be searched.
    everything = "".join(
        str(parquet_rows(found.read(name)))
        if name.endswith(".parquet")
        else found.read(name).decode(errors="replace")
        for name in found.namelist()
    )
    assert (SECRET in everything) == seen["homes"]
    assert ("applications" in names) == seen["homes"]
    assert ("placements" in names) == ("packets" in names) == seen["placements"]
    assert ("audit_entries" in names) == seen["audit"]
    left_out = {one["name"]: one["why"] for one in manifest(found)["left_out"]}
    if not seen["homes"]:
        assert left_out["applications"] == "It needs the permission see_homes."
        assert left_out["animals.origin_note"] == "It needs the permission see_homes."
        assert "files/papers/two.jpg" not in found.namelist()
    if not seen["audit"]:
        assert left_out["audit_entries"] == "It needs the permission see_audit."


def test_no_animal_of_that_number(viewer: APIClient) -> None:
    assert viewer.get("/api/v1/exports/animals/7/csv/").status_code == 404


def test_the_organisation_is_told_of_whole(owner: APIClient, animal: Any) -> None:
    found = archive(owner, "organisation/csv")
    told = manifest(found)

    assert told["about"] == "the organisation"
    with connection.cursor() as cursor:
        for table in told["tables"]:
            [rows] = [t.rows for t in TABLES if t.name == table["table"]] or [Reading]
            cursor.execute(f"SELECT count(*) FROM {rows._meta.db_table}")
            assert cursor.fetchone()[0] == table["rows"], table["table"]
    assert len(told["tables"]) == len(TABLES) + 1
    left_out = {one["name"]: one["why"] for one in told["left_out"]}
    assert left_out["people.password"] == (
        "Secrets are not exported, nor are their digests."
    )
    assert left_out["private addresses"].startswith("A key")
    everything = b"".join(found.read(name) for name in found.namelist())
    assert b"scrypt$" not in everything
    assert b"md5$" not in everything
    info = found.getinfo("animals.csv")
    assert info.compress_type == ZIP_DEFLATED
    assert date(*info.date_time[:3]) == datetime.now(UTC).date()


@pytest.mark.parametrize("whose", ["animal", "organisation"])
def test_queries_do_not_grow_with_the_rows(
    whose: str, owner: APIClient, animal: Any
) -> None:
    address = "organisation" if whose == "organisation" else f"animals/{animal.pk}"
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as queries:
            archive(owner, f"{address}/csv")
        counts.append(len(queries))
        for _ in range(3):
            factories.WeighingFactory(animal=animal)
            factories.FeedingFactory(animal=animal)
            factories.FindingFactory(animal=animal)
            factories.SpurCheckFactory(animal=animal)

    assert counts[0] == counts[1] < 110


def test_a_manager_exports_all_but_accounts(caller: Caller, animal: Any) -> None:
    AuditEntry.objects.create(
        at=AT, verb="told", subject="core.user", subject_id=1, after={"what": "role"}
    )

    found = archive(caller(Role.MANAGER), "organisation/ndjson")

    left_out = {one["name"]: one["why"] for one in manifest(found)["left_out"]}
    assert left_out["people"] == "It needs the permission manage_people."
    assert left_out["audit_entries of core.user"] == (
        "Entries about them need the permission manage_people."
    )
    subjects = {e["subject"] for e in ndjson_rows(found.read("audit_entries.ndjson"))}
    assert "core.user" not in subjects
    assert "placements.home" in subjects


def test_exporting_all_is_for_those_who_run_the_house() -> None:
    may = {role for role in Role if Permission.EXPORT_ALL in GRANTS[role]}

    assert may == {Role.OWNER, Role.MANAGER}
