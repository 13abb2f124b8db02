"""Boxes and eggs in the back office: added, moved, retired and struck out by actions."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import pytest
from django.apps import apps
from django.db.models import Model
from django.test import Client

from clutches.models import BoxCheck, BoxStay, EggBox, EggCheck, EggPlace
from core.models import AuditEntry
from core.roles import Role
from tests.clutches.nest import make_nest
from tests.factories import (
    BoxCheckFactory,
    EggBoxFactory,
    EggCheckFactory,
    EggFactory,
    EnclosureFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import Form, errors, text, url

pytestmark = pytest.mark.django_db


def box_typed() -> Form:
    EggBoxFactory.create(code="BX-9")
    incubator = EnclosureFactory.create(kind="incubator")
    return {
        "code": "BX-1",
        "rows": "5",
        "columns": "8",
        "substrate": "vermiculite",
        "substrate_g": "200",
        "water_g": "160",
        "made_on": "2026-02-10",
        "note": "Lid with holes.",
        "stands_in": incubator.pk,
    }


def stay_typed() -> Form:
    nest = make_nest()
    other = EnclosureFactory.create(code="I-2", kind="incubator")
    return {
        "box": nest.box.pk,
        "incubator": other.pk,
        "moved_at_0": "2026-03-02",
        "moved_at_1": "10:00",
        "reason": "Too cool.",
    }


def box_check_typed() -> Form:
    return {
        "box": make_nest().box.pk,
        "looked_at_0": "2026-03-02",
        "looked_at_1": "10:00",
        "mass_g": "402.5",
        "water_g": "6",
        "note": "Lid was loose.",
    }


def place_typed() -> Form:
    nest = make_nest(lying=False)
    return {
        "egg": nest.eggs[0].pk,
        "box": nest.box.pk,
        "place": "B3",
        "placed_at_0": "2026-03-02",
        "placed_at_1": "10:00",
    }


def egg_check_typed() -> Form:
    return {
        "egg": make_nest().eggs[0].pk,
        "looked_at_0": "2026-03-02",
        "looked_at_1": "10:00",
        "seen": "no_vessels",
        "mass_g": "1.45",
        "note": "Pink rim.",
    }


@dataclass(frozen=True)
class Case:
    """One desk: what is typed, and what of it is refused with which words."""

    label: str
    typed: Callable[[], Form]
    verbs: list[str]
    wrong: Form
    sentence: str
    kept: str


CASES = (
    Case(
        *("clutches.eggbox", box_typed, ["make_box", "move_box"], {"code": "BX-9"}),
        *("There is a box BX-9 already", 'value="Lid with holes."'),
    ),
    Case(
        *("clutches.boxstay", stay_typed, ["move_box"], {"moved_at_0": "2199-01-01"}),
        *("has not come yet", 'value="Too cool."'),
    ),
    Case(
        *("clutches.boxcheck", box_check_typed, ["record_box_check"]),
        *({"mass_g": "0"}, "0 g cannot be", 'value="Lid was loose."'),
    ),
    Case(
        *("clutches.eggplace", place_typed, ["place_egg"], {"place": "D9"}),
        *("It has 4 rows and 3 columns", 'value="D9"'),
    ),
    Case(
        *("clutches.eggcheck", egg_check_typed, ["record_egg_check"]),
        *({"seen": "", "mass_g": ""}, "Nothing is said of egg 1", 'value="Pink rim."'),
    ),
)
each_case = pytest.mark.parametrize("case", CASES, ids=lambda c: c.label)


def _rows(label: str) -> int:
    return apps.get_model(label)._default_manager.count()


@each_case
def test_what_is_typed_is_recorded_by_its_action(case: Case, owner: Client) -> None:
    typed = case.typed()
    before = _rows(case.label)

    answer = owner.post(url(case.label), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    assert _rows(case.label) == before + 1
    entries = AuditEntry.objects.order_by("pk")
    assert [entry.verb for entry in entries] == case.verbs
    assert {str(e.by_id) for e in entries} == {owner.session["_auth_user_id"]}


@each_case
def test_what_cannot_be_says_why_and_keeps_what_was_typed(
    case: Case, owner: Client
) -> None:
    typed = {**case.typed(), **case.wrong}
    before = _rows(case.label)

    answer = owner.post(url(case.label), typed)

    assert answer.status_code == 200
    assert case.sentence in str(errors(answer))
    assert case.kept in text(answer)
    assert _rows(case.label) == before
    assert not AuditEntry.objects.exists()


@each_case
def test_who_may_not_records_nothing(case: Case, visitor: Visitor) -> None:
    typed = case.typed()

    assert visitor(Role.VET).post(url(case.label), typed).status_code == 403
    assert not AuditEntry.objects.exists()


def _changed(client: Client, row: Model, typed: Form) -> None:
    answer = client.post(url(row._meta.label_lower, f"{row.pk}/change/"), typed)
    assert (answer.status_code, errors(answer)) == (302, [])
    row.refresh_from_db()


def test_times_are_read_by_the_clock_of_the_site(owner: Client) -> None:
    nest = make_nest()
    nest.site.time_zone = "Europe/Berlin"
    nest.site.save()
    typed = {**egg_check_typed_for(nest.eggs[0].pk)}

    owner.post(url("clutches.eggcheck"), typed)

    check = EggCheck.objects.get()
    assert check.at.isoformat() == "2026-03-02T09:00:00+00:00"
    assert (check.seen, check.mass_g) == ("vessels", Decimal("1.450"))


def egg_check_typed_for(pk: int) -> Form:
    return {
        "egg": pk,
        "looked_at_0": "2026-03-02",
        "looked_at_1": "10:00",
        "seen": "vessels",
        "mass_g": "1.45",
        "note": "",
    }


def test_what_is_to_be_known_of_an_early_candling_is_told(owner: Client) -> None:
    answer = owner.post(url("clutches.eggcheck"), egg_check_typed(), follow=True)

    assert "no vessels on day 60: resting, not infertile" in text(answer)


def test_an_empty_box_is_retired(owner: Client) -> None:
    nest = make_nest(lying=False)

    _changed(owner, nest.box, {"emptied_on": "2026-03-01", "because": "Mouldy."})

    assert nest.box.retired_on == date(2026, 3, 1)
    assert AuditEntry.objects.get().reason == "Mouldy."
    place = url("clutches.eggbox", f"{nest.box.pk}/change/")
    assert owner.post(place, {"emptied_on": "2026-03-01"}).status_code == 403


def test_a_box_is_taken_out_of_its_incubator(owner: Client) -> None:
    make_nest()
    stay = BoxStay.objects.get()

    _changed(owner, stay, {"out_at_0": "", "out_at_1": "", "because": "Broken."})

    assert stay.until_at is not None


def test_an_egg_is_moved(owner: Client) -> None:
    nest = make_nest(eggs=1)
    spell = EggPlace.objects.get()
    typed = {"to": nest.box.pk, "place": "B3", "moved_at_0": "", "moved_at_1": ""}

    _changed(owner, spell, {**typed, "because": "Mould beside it."})

    now = EggPlace.objects.get(until_at=None)
    assert (now.row, now.column) == (3, 2)
    assert spell.until_at == now.from_at
    closed = url("clutches.eggplace", f"{spell.pk}/change/")
    assert owner.post(closed, typed).status_code == 403


@pytest.mark.parametrize("make", [BoxCheckFactory, EggCheckFactory])
def test_a_wrong_check_is_struck_out(make: type, owner: Client) -> None:
    row: BoxCheck | EggCheck = make.create()

    _changed(owner, row, {"strike_out_because": "Another box."})

    assert row.struck_reason == "Another box."


def test_only_boxes_incubators_and_eggs_in_use_are_offered(owner: Client) -> None:
    EggBoxFactory.create(code="Used")
    EggBoxFactory.create(code="Retired", retired_on=date(2026, 3, 1))
    EnclosureFactory.create(code="Warm", kind="incubator")
    EnclosureFactory.create(code="Tub", kind="tub")
    EggFactory.create(number=8, clutch__code="C-1")
    EggFactory.create(
        number=9, clutch__code="C-2", state="hatched", ended_on=date(2026, 3, 1)
    )

    stay, place = (
        text(owner.get(url(f"clutches.{label}"))) for label in ("boxstay", "eggplace")
    )

    assert ">Used</option>" in stay
    assert ">Warm</option>" in stay
    assert ">Retired</option>" not in stay
    assert ">Tub</option>" not in stay
    assert "C-1 egg 8</option>" in place
    assert "C-2 egg 9</option>" not in place
    assert EggBox.objects.count() == 2
