"""Every list is searched, ordered and cut to fields alike."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import reduce
from typing import Any

import pytest
from django.db import models
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rest_framework.test import APIClient

from api.animals import Animals
from api.urls import router
from api.views import Listed
from core.roles import Role
from husbandry.models import Animal
from tests.api.conftest import Caller
from tests.api.test_counts import COUNTS
from tests.factories import (
    TODAY,
    AnimalFactory,
    AuditEntryFactory,
    CandidateSireFactory,
    DeathFactory,
    HomeFactory,
    ObservationFactory,
    PlacementFactory,
    ReadinessReviewFactory,
    SiteFactory,
    WeighingFactory,
)

LISTS = {
    address: view for address, view, _ in router.registry if issubclass(view, Listed)
}
ROWS = [(address, make) for address, make, _ in COUNTS if address in LISTS]
# Personal data of people outside, and where these live: see `Listed.searched`.
OF_PEOPLE = {"contact", "email", "notes_of_home", "found_at", "vet", "examined_by"}


def _pages(client: APIClient, address: str, **asked: object) -> Iterator[list[Any]]:
    page = client.get(f"/api/v1/{address}/", asked).json()
    yield page["results"]
    while page["next"]:
        page = client.get(page["next"]).json()
        yield page["results"]


def _columns(view: type[Listed[Any]]) -> type[models.Model]:
    model: type[models.Model] = view.filterset_class._meta.model
    return model


def test_every_list_can_be_ordered_by_columns_that_stand_in_its_answer() -> None:
    for address, view in LISTS.items():
        assert view.orderable, address
        assert set(view.orderable) <= set(view.out.__struct_fields__), address
        for name in (*view.orderable, *(n.lstrip("-") for n in view.ordering)):
            assert _columns(view)._meta.get_field(name).concrete, f"{address} {name}"


def test_search_looks_in_texts_of_the_row_or_of_one_that_it_refers_to() -> None:
    for address, view in LISTS.items():
        for column in view.searched:
            *path, name = column.split("__")
            model = _columns(view)
            for part in path:
                field = model._meta.get_field(part)
                assert field.many_to_one or field.one_to_one, f"{address} {column}"
                model = field.related_model
            assert isinstance(
                model._meta.get_field(name), (models.CharField, models.TextField)
            ), f"{address} {column}"
            assert name not in OF_PEOPLE, f"{address} {column}"
    assert {a for a, v in LISTS.items() if not v.searched} == {
        *("conditions", "homes", "home-enclosures", "private-addresses"),
        "webhook-deliveries",
    }


@pytest.mark.parametrize(("address", "make"), ROWS)
def test_each_ordering_gives_every_row_once_page_by_page(
    address: str, make: Callable[[], object], owner: APIClient
) -> None:
    for _ in range(3):
        make()

    for name in LISTS[address].orderable:
        for ordering in (name, f"-{name}"):
            (whole,) = _pages(owner, address, ordering=ordering)
            pages = list(_pages(owner, address, ordering=ordering, page_size=2))
            assert [row for page in pages for row in page] == whole
            values = [row[name] for row in whole]
            there = [value for value in values if value is not None]
            assert there == sorted(there, reverse=ordering != name)
            assert values[len(there) :] == [None] * (len(values) - len(there))


ORDERINGS = st.lists(
    st.sampled_from(Animals.orderable), min_size=1, max_size=3, unique=True
).flatmap(
    lambda names: st.tuples(*(st.sampled_from((name, f"-{name}")) for name in names))
)
DAYS = st.sampled_from([None, TODAY, TODAY - timedelta(days=1)])


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    days=st.lists(st.tuples(DAYS, DAYS), min_size=1, max_size=12),
    asked=ORDERINGS,
    size=st.integers(1, 5),
    going=st.sets(st.integers(0, 11)),
    coming=st.lists(st.tuples(DAYS, DAYS), max_size=4),
)
def test_a_walk_gives_what_stays_exactly_once_and_in_order(
    viewer: APIClient,
    days: list[tuple[date | None, date | None]],
    asked: tuple[str, ...],
    size: int,
    going: set[int],
    coming: list[tuple[date | None, date | None]],
) -> None:
    """Ties, empty values, and rows that come and go between two pages."""
    Animal.objects.all().delete()
    rows = [_animal(hatched, left) for hatched, left in days]
    ordering = ",".join(asked)
    leave = [row for number, row in enumerate(rows) if number in going]

    found = []
    for page in _pages(viewer, "animals", ordering=ordering, page_size=size):
        assert len(page) <= size
        found += [row["code"] for row in page]
        if leave:
            leave.pop().delete()
        if coming:
            _animal(*coming.pop())

    (whole,) = _pages(viewer, "animals", ordering=ordering, page_size=500)
    made = {row.code for row in rows}
    order = [row["code"] for row in whole if row["code"] in made]
    assert [code for code in found if code in order] == order
    assert len(found) == len(set(found))


def _animal(hatched: date | None, left: date | None) -> Animal:
    precision = "day" if hatched else "unknown"
    status = "placed" if left else "in_care"
    return AnimalFactory(
        hatched_on=hatched, hatched_precision=precision, left_on=left, status=status
    )


# Columns that are filled only where the row is of a certain kind.
FILLED: dict[tuple[str, str], Callable[[], object]] = {
    ("observations", "sign"): lambda: ObservationFactory(kind="sign", sign="sign-dark"),
    ("deaths", "necropsy"): lambda: DeathFactory(
        necropsy_on=TODAY, necropsy_by="A vet", necropsy="Nothing found."
    ),
    ("placements", "release_place"): lambda: PlacementFactory(
        kind="release", home=None, release_place="Where it was found"
    ),
    ("candidate-sires", "animal__code"): lambda: CandidateSireFactory(
        clutch=None, animal=AnimalFactory(), sire=AnimalFactory(male=True)
    ),
    ("readiness-reviews", "animal__code"): lambda: ReadinessReviewFactory(
        animal=AnimalFactory()
    ),
    ("audit-entries", "reason"): lambda: AuditEntryFactory(reason="A slip."),
}


@pytest.mark.parametrize(("address", "make"), ROWS)
def test_what_is_searched_is_found_and_stands_in_the_answer(
    address: str, make: Callable[[], object], owner: APIClient
) -> None:
    view = LISTS[address]
    make()
    for column in view.searched:
        FILLED.get((address, column), int)()
        row, text = _filled(_columns(view).objects.order_by("-pk"), column)

        (found,) = _pages(owner, address, search=text.upper())

        assert row.pk in [one["id"] for one in found], column
        for one in found:
            assert all(word in str(one).lower() for word in text.lower().split())


def _filled(rows: models.QuerySet[Any], column: str) -> tuple[Any, str]:
    """Return a row and what it says in a column; if none says anything, make one."""
    for row in rows:
        if text := reduce(
            lambda one, n: getattr(one, n, None), column.split("__"), row
        ):
            return row, text
    rows.filter(pk=row.pk).update(**{column: f"Éclat {row.pk}"})
    return row, f"Éclat {row.pk}"


@pytest.mark.parametrize("search", ["é", "É", "E\N{COMBINING ACUTE ACCENT}", "ÉMILE"])
def test_case_is_the_same_in_every_script(search: str, viewer: APIClient) -> None:
    """Alike on both databases: LIKE of SQLite knows the case of ASCII only."""
    AnimalFactory(code="A", name="Émile")
    AnimalFactory(code="B", name="émile")
    AnimalFactory(code="C", name="Emile")

    (found,) = _pages(viewer, "animals", search=search)

    assert [row["code"] for row in found] == ["A", "B"]


@pytest.mark.parametrize(
    ("search", "codes"),
    [
        ("basil", ["V-1"]),
        ("BASIL", ["V-1"]),
        ("v-1 basil", ["V-1"]),
        ("bas v-", ["V-1"]),
        ("basil olive", []),
        ("  basil  ", ["V-1"]),
        ("100%", ["V-2"]),
        ("%", ["V-2"]),
        ("_", ["V-3"]),
        ("é.", ["V-4"]),
        ("é*", []),
        ("\\", ["V-5"]),
        ("'", ["V-5"]),
        ("ß", ["V-6"]),
        ("ω", ["V-7"]),
    ],
)
def test_all_words_must_stand_there_and_nothing_stands_for_anything_else(
    search: str, codes: list[str], viewer: APIClient
) -> None:
    names = ("Basil", "100% Olive", "a_b", "Zoé.", "it's a \\", "Spaß", "ΩMEGA")
    for number, name in enumerate(names, start=1):
        AnimalFactory(code=f"V-{number}", name=name)

    (found,) = _pages(viewer, "animals", search=search)

    assert [row["code"] for row in found] == codes


def test_search_narrows_what_filters_leave_and_the_next_page_keeps_it(
    viewer: APIClient,
) -> None:
    for sex in ("male", "female"):
        for _ in range(3):
            AnimalFactory(sex=sex, name="Basil")
    AnimalFactory(sex="male", name="Olive")

    pages = list(_pages(viewer, "animals", search="basil", sex="male", page_size=2))

    assert [len(page) for page in pages] == [2, 1]
    assert {row["name"] for page in pages for row in page} == {"Basil"}


@pytest.mark.parametrize(
    ("query", "accepted"),
    [
        ("animals/?search=", "length >= 1"),
        ("animals/?search=%20%20", "one word or several"),
        ("animals/?search=" + "a" * 101, "length <= 100"),
        ("sites/?ordering=", "id, code, name; a - before a name turns it round"),
        ("sites/?ordering=time_zone", "id, code, name; a - before a name turns it"),
        ("sites/?ordering=code,-code", "each once"),
        ("sites/?ordering=--code", "each once"),
        ("sites/?ordering=code, name", "with a comma between them: id, code, name"),
        ("sites/?fields=", "id, code, name, time_zone, latitude_deg, longitude_deg"),
        ("sites/?fields=id,rooms", "id, code, name, time_zone, latitude_deg"),
        ("sites/?fields=id,id", "each once"),
    ],
)
def test_what_cannot_be_read_is_refused_with_what_can(
    query: str, accepted: str, viewer: APIClient
) -> None:
    answer = viewer.get(f"/api/v1/{query}")

    name = query.partition("?")[2].partition("=")[0]
    assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter")
    assert accepted in answer.json()["fields"][name]


def test_a_list_without_texts_knows_no_search(
    viewer: APIClient, owner: APIClient
) -> None:
    for client, address in ((viewer, "conditions"), (owner, "homes")):
        answer = client.get(f"/api/v1/{address}/?search=a").json()
        assert answer["code"] == "unknown_parameter"


def test_a_cursor_goes_on_in_its_own_ordering_only(viewer: APIClient) -> None:
    for _ in range(2):
        SiteFactory()
    first = viewer.get("/api/v1/sites/?ordering=-code&page_size=1").json()["next"]

    answer = viewer.get(first.replace("ordering=-code", "ordering=code"))

    assert (answer.status_code, answer.json()["code"]) == (400, "bad_cursor")


def test_only_the_fields_that_are_asked_for_are_answered(viewer: APIClient) -> None:
    row = WeighingFactory()

    (found,) = _pages(viewer, "weighings", fields="mass_g,animal")
    one = viewer.get(f"/api/v1/weighings/{row.pk}/?fields=id").json()
    (own,) = _pages(viewer, f"animals/{row.animal_id}/weighings", fields="id,at")

    animal = {"id": row.animal_id, "code": row.animal.code}
    assert found == [{"animal": animal, "mass_g": 100.0}]
    assert one == {"id": row.pk}
    assert [set(line) for line in own] == [{"id", "at"}]


def test_a_field_that_a_person_may_not_see_stays_hidden(caller: Caller) -> None:
    row = PlacementFactory(home=HomeFactory())

    for role, told in ((Role.VET, None), (Role.MANAGER, row.home_id)):
        (found,) = _pages(caller(role), "placements", fields="home")
        assert found == [{"home": told}]


@pytest.mark.parametrize(
    "query",
    ["placements/?home=1", "arrivals/?home=1", "readiness-reviews/?enclosure=1"],
)
def test_who_may_not_see_homes_may_not_ask_by_them(query: str, caller: Caller) -> None:
    HomeFactory(pk=1)
    PlacementFactory(home_id=1)

    refused = caller(Role.VET).get(f"/api/v1/{query}")
    answered = caller(Role.MANAGER).get(f"/api/v1/{query}")

    assert (refused.status_code, answered.status_code) == (403, 200)
    assert refused.json()["code"] == "permission_denied"
    assert "see_homes" in refused.json()["detail"]
