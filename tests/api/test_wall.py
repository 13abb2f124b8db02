"""Personal data of households reach nobody who may not see homes, at no address.

A word is planted in every personal column; every address that can be read is read as
each role without the permission. Then the word is exchanged and homes change places:
nothing that was answered may change with them, in no order, search or filter.
"""

import re
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest
from django.db import models
from pyarrow.parquet import read_table
from pypdf import PdfReader
from rest_framework.test import APIClient

from api.filters import HomeNumberFilter
from api.renderers import Parquet
from api.urls import urlpatterns
from api.views import Listed
from core.roles import GRANTS, Permission, Role, holds
from husbandry.models import Animal
from placements.models import (
    Application,
    ApplicationCheck,
    Home,
    HomeEnclosure,
    HomeReading,
    PrivateAddress,
)
from tests.api.conftest import Caller
from tests.api.households import (
    AT,
    PERSONAL,
    Household,
    make_household,
    plant,
    swap_homes,
)

pytestmark = pytest.mark.django_db
API = "/api/v1/"
KINDS = {".parquet": Parquet.media_type, ".pdf": "application/pdf"}
# Of answers that say when they were made, and of archives that are another each time.
MADE = r'"(made_at|sha256)": ?"[^"]*"'
WORD, OTHER = "QUITERIA", "BALTASAR"
OUTSIDE = [role for role in Role if not holds(role, Permission.SEE_HOMES)]
OF_HOMES = {
    *(Home, Application, ApplicationCheck, HomeEnclosure, HomeReading, PrivateAddress)
}
# What has to be asked for an answer; all other addresses answer unasked.
ASKED = {
    "rounds/": {"room": "home/adults"},
    "care-tasks/": {"animal": "V-AWAY"},
    "pair-advice/": {"species": "veiled_chameleon"},
    "collection-kinship/": {"species": "veiled_chameleon"},
    "hatchlings/labels/": {"clutch": "C-1"},
    "arrivals/known/": {"code_or_chip": "V-AWAY"},
    "applications/matches/": {"animal": "V-AWAY"},
    "packets/check/": {"number": "P-1", "digits": "0" * 16},
    "probes/{id}/series/": {"quantity": "temperature_c", "until_at": AT.isoformat()},
    "enclosures/{id}/series/": {
        "quantity": "temperature_c",
        "until_at": AT.isoformat(),
    },
}
# Files that nobody has given here; they are refused with a sentence.
NO_FILES = {
    *("spur-checks/{id}/photo/", "intake-photos/{id}/file/", "papers/{id}/photo/"),
    *("packet-jobs/{id}/pdf/",),
}
# Nobody has named the organisation here; an address of the calendar is its owner's;
# digits of a packet are known to whoever holds it.
NOT_THERE = {"organisation/", "calendars/{id}/", "packets/check/"}


@pytest.fixture
def house(tmp_path: Path, settings: Any) -> Household:
    settings.MEDIA_ROOT = tmp_path
    # More than anybody may ask in a minute; a refused one would tell nothing.
    settings.API_RATES = {**settings.API_RATES, "read": (1_000_000, 60)}
    return make_household(WORD)


def _reads() -> dict[str, type[Any]]:
    """Return every address that can be read, with its view."""
    found = {}
    for pattern in urlpatterns:
        if pattern.name != "nowhere" and "get" in pattern.callback.actions:
            address = re.sub(r"\(\?P<(\w+)>[^)]*\)", r"{\1}", str(pattern.pattern))
            found[address.replace(r"\Z", "").strip("^$")] = pattern.callback.cls
    return found


READS = _reads()
LISTS = {
    address: view
    for address, view in READS.items()
    if issubclass(view, Listed) and address.count("/") == 1
}


@cache
def _ids(of: type[models.Model]) -> list[int]:
    return list(of.objects.order_by("pk").values_list("pk", flat=True)[:3])


def _addresses() -> Iterator[tuple[str, str]]:
    """Yield each address with the ids of rows that there are."""
    _ids.cache_clear()
    for address, view in READS.items():
        if "{id}" not in address:
            yield address, address
            continue
        for pk in _ids(_rows_of(view)) or [1]:
            yield address, address.replace("{id}", str(pk))


def _rows_of(view: type[Any]) -> type[models.Model]:
    """Return of what an address takes the number."""
    listed = getattr(view, "filterset_class", None)
    return listed._meta.model if listed else Animal


def _read(client: APIClient, address: str, **asked: object) -> tuple[int, str]:
    """Return the status and the text of an answer; of a PDF, what a reader sees."""
    answer = client.get(API + address, asked, headers={"Accept": "*/*"})
    whole = b"".join(answer.streaming_content) if answer.streaming else answer.content
    # What is made for the asking says when, and time goes on between two readings.
    text = re.sub(MADE, "", _text(answer.get("Content-Type", ""), whole))
    return answer.status_code, text


def _text(kind: str, whole: bytes) -> str:
    """Return what a reader of a file sees; of an archive, what is in its files."""
    if kind == "application/pdf":
        pages = PdfReader(BytesIO(whole)).pages
        return " ".join(page.extract_text() for page in pages)
    if kind == "application/zip":
        with ZipFile(BytesIO(whole)) as archive:
            return "\n".join(
                f"{name} {_text(KINDS.get(Path(name).suffix, ''), archive.read(name))}"
                for name in archive.namelist()
            )
    if kind == Parquet.media_type:
        return str(read_table(BytesIO(whole)).to_pylist())
    return whole.decode(errors="replace")


def _everything(client: APIClient) -> dict[str, tuple[int, str]]:
    return {
        own: _read(client, own, **ASKED.get(address, {}))
        for address, own in _addresses()
    }


def _each_ordering(client: APIClient) -> dict[str, tuple[int, str]]:
    return {
        f"{address} by {name}": _read(client, address, ordering=name)
        for address, view in LISTS.items()
        for name in view.orderable
    }


def test_the_roles_outside_are_these() -> None:
    assert OUTSIDE == [Role.KEEPER, Role.VET, Role.VIEWER]
    assert all(Permission.SEE_REGISTER not in GRANTS[role] for role in OUTSIDE)


def test_every_address_is_read_and_shows_the_word_to_those_who_may_see_it(
    house: Household, caller: Caller
) -> None:
    """Else the tests below would walk past closed doors."""
    answered = set()
    shown = set()
    owner = caller(Role.OWNER)
    for address, own in _addresses():
        status, text = _read(owner, own, **ASKED.get(address, {}))
        answered |= {address} if status in (200, 503) else set()
        shown |= {address.partition("/")[0]} if WORD in text.upper() else set()

    unanswered = set(READS) - answered
    assert unanswered == NO_FILES | NOT_THERE, (
        "say in ASKED what the new ones are asked"
    )
    assert shown == {
        *("homes", "applications", "home-enclosures", "arrivals", "home-reports"),
        *("follow-ups", "papers", "register-entries", "audit-entries", "exports"),
    }


def test_every_text_of_a_home_is_planted() -> None:
    for model, columns in PERSONAL.items():
        texts = {
            field.name
            for field in model._meta.fields
            if isinstance(
                field, models.TextField | models.EmailField | models.JSONField
            )
        }
        assert texts <= {*columns, "came_with"}, model


@pytest.mark.parametrize("role", OUTSIDE)
def test_nobody_outside_reads_the_word_or_sees_it_move_anything(
    role: Role, house: Household, caller: Caller
) -> None:
    client = caller(role)
    before = _everything(client)
    plant(OTHER)
    swap_homes(house)
    after = _everything(client)

    for own, (status, text) in before.items():
        assert WORD not in text.upper(), own
        # A house whose nights wait for their review says so with 503.
        assert status in (200, 403, 404) or own == "health/", own
    assert {own for own in before if after[own] != before[own]} == set()
    assert sum(status == 200 for status, _ in before.values()) > 100


def test_no_order_of_rows_tells_of_homes(house: Household, caller: Caller) -> None:
    """Of those outside, a vet reads the most lists."""
    client = caller(Role.VET)
    before = _each_ordering(client)
    plant(OTHER)
    swap_homes(house)

    assert _each_ordering(client) == before


@pytest.mark.parametrize("role", OUTSIDE)
def test_no_search_and_no_filter_tells_whether_the_word_is_there(
    role: Role, house: Household, caller: Caller
) -> None:
    client = caller(role)
    for address, view in LISTS.items():
        names = ["search"] if view.searched else []
        for name, filter_ in view.filterset_class.base_filters.items():
            extra = getattr(filter_, "extra", {})
            names += [name] if not extra.get("choices") else []
        for name in names:
            told = [_read(client, address, **{name: w}) for w in (WORD, OTHER)]
            assert 429 not in {status for status, _ in told}
            same = [(s, t.replace(OTHER, WORD)) for s, t in told]
            assert same[0] == same[1], f"{address}?{name}="


def test_no_filter_leads_through_a_home_but_for_those_who_may_see_homes() -> None:
    for address, view in LISTS.items():
        if view.permissions["list"] is Permission.SEE_HOMES:
            continue
        for name, filter_ in view.filterset_class.base_filters.items():
            if isinstance(filter_, HomeNumberFilter) or filter_.method:
                continue
            through = set(_models(view, filter_.field_name))
            assert not through & OF_HOMES, f"{address}?{name}="
            column = (view.filterset_class._meta.model, filter_.field_name)
            assert column[1] not in PERSONAL.get(column[0], ()), f"{address}?{name}="


def _models(view: type[Listed[Any]], path: str) -> Iterator[type[models.Model]]:
    model = view.filterset_class._meta.model
    for part in path.split("__"):
        fields = {field.name: field for field in model._meta.get_fields()}
        related = fields[part].related_model if part in fields else None
        if related is None:
            return  # a column at last, or what the query computes
        model = related
        yield model


@pytest.mark.parametrize("role", OUTSIDE)
def test_the_trail_of_homes_is_not_there(
    role: Role, house: Household, caller: Caller
) -> None:
    if not holds(role, Permission.SEE_AUDIT):
        assert caller(role).get(f"{API}audit-entries/").status_code == 403
        return
    rows = caller(role).get(f"{API}audit-entries/?page_size=500").json()["results"]

    told = [{**row["before"], **row["after"]} for row in rows]
    planned = [row for row in rows if row["verb"] == "plan_placement"]
    assert len(planned) == 1
    assert not {"home", "application", "home_enclosure"} & set().union(*told)


def test_what_is_amiss_in_a_home_is_told_to_those_who_may_see_homes(
    house: Household, caller: Caller
) -> None:
    vet, owner = caller(Role.VET), caller(Role.OWNER)

    (hidden,) = vet.get(f"{API}readiness-reviews/").json()["results"]
    (shown,) = owner.get(f"{API}readiness-reviews/").json()["results"]
    gates = vet.get(f"{API}placements/{house.planned.pk}/gates/").json()["gates"]

    assert (hidden["enclosure"], hidden["matters"]) == (None, None)
    assert (hidden["outcome"], hidden["id"]) == (shown["outcome"], shown["id"])
    (gate,) = [gate for gate in gates if gate["gate"] == "home_ready"]
    assert re.fullmatch(
        r"The home's enclosure is not as wanted in \d+ of its matters\. Its review says "
        r"more\.",
        gate["why"],
    )
    assert len(shown["matters"]) > 0
