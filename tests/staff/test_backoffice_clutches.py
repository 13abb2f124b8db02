"""Pairs, introductions and clutches in the back office: each desk asks one action."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import pytest
from django.apps import apps
from django.test import Client

from clutches.models import Clutch, Egg, EggPlace, Introduction, Pairing
from core.models import AuditEntry
from core.roles import Role
from tests.clutches.nest import make_nest
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    HatchlingFactory,
    IncubationPlanFactory,
    IntroductionFactory,
    PairingFactory,
    SiteFactory,
    SpeciesFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import Form, errors, text, url

pytestmark = pytest.mark.django_db


def pairing_typed() -> Form:
    return {
        "dam": AnimalFactory.create().pk,
        "sire": AnimalFactory.create(male=True).pk,
        "planned_on": "2026-03-01",
        "reason": "Unrelated.",
    }


def introduction_typed() -> Form:
    return {
        "pairing": PairingFactory.create().pk,
        "together_at_0": "2026-03-01",
        "together_at_1": "10:00",
        "outcome": "mated",
        "minutes": "40",
        "note": "Calm.",
    }


def clutch_typed(**changes: object) -> Form:
    CareProfileFactory.create()
    dam = AnimalFactory.create()
    return {
        "code": "C-1",
        "kind": "eggs",
        "dam": dam.pk,
        "species": dam.species.pk,
        "site": SiteFactory.create().pk,
        "laid_on": "2026-03-01",
        "eggs_set": "35",
        "eggs_infertile": "2",
        "eggs_broken": "0",
        "born_alive": "0",
        "born_dead": "0",
        "mass_g": "",
        "pairing": "",
        "plan": "",
        "box": "",
        "note": "Dug for 9 h.",
        **changes,
    }


@dataclass(frozen=True)
class Case:
    """One desk: what is typed, and what of it is refused with which words."""

    label: str
    typed: Callable[[], Form]
    verb: str
    wrong: Form
    sentence: str
    kept: str


CASES = (
    Case(
        *("clutches.pairing", pairing_typed, "plan_pairing"),
        *({"planned_on": "2199-01-01"}, "has not come yet", 'value="Unrelated."'),
    ),
    Case(
        *("clutches.introduction", introduction_typed, "record_introduction"),
        *({"minutes": "0"}, "0 minutes together cannot be", 'value="Calm."'),
    ),
    Case(
        *("clutches.clutch", clutch_typed, "record_laying", {"eggs_set": "501"}),
        *("501 eggs cannot be", 'value="Dug for 9 h."'),
    ),
)


@pytest.fixture
def keeper(visitor: Visitor) -> Client:
    return visitor(Role.KEEPER)


def rows(case: Case) -> int:
    return apps.get_model(case.label)._default_manager.count()


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.label)
def test_what_is_typed_is_kept_by_one_action(case: Case, keeper: Client) -> None:
    typed, before = case.typed(), rows(case)

    answer = keeper.post(url(case.label), typed)

    assert (answer.status_code, errors(answer)) == (302, [])
    assert rows(case) == before + 1
    assert AuditEntry.objects.earliest("pk").verb == case.verb


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.label)
def test_a_refusal_stands_above_what_was_typed(case: Case, keeper: Client) -> None:
    typed, before = case.typed(), rows(case)

    answer = keeper.post(url(case.label), {**typed, **case.wrong})

    assert answer.status_code == 200
    assert case.sentence in " ".join(errors(answer))
    assert case.kept in text(answer)
    assert rows(case) == before
    assert not AuditEntry.objects.exists()


@pytest.mark.parametrize("case", CASES, ids=lambda c: c.label)
def test_who_may_not_record_breeding_does_not(case: Case, visitor: Visitor) -> None:
    vet = visitor(Role.VET)

    assert vet.post(url(case.label), case.typed()).status_code == 403


def test_what_to_mind_is_told_where_pairs_meet(keeper: Client) -> None:
    form = text(keeper.get(url("clutches.introduction")))
    told = text(keeper.post(url("clutches.pairing"), pairing_typed(), follow=True))

    for page in (form, told):
        assert (
            "Watch every introduction from beginning to end and separate them" in page
        )


def test_what_speaks_against_a_pair_is_told(keeper: Client) -> None:
    CareProfileFactory.create()
    typed = pairing_typed()
    Pairing.objects.all().delete()

    page = text(keeper.post(url("clutches.pairing"), typed, follow=True))

    assert "was never weighed" in page


def test_a_pairing_is_ended_and_a_wrong_introduction_struck_out(
    keeper: Client,
) -> None:
    met = IntroductionFactory.create()
    pairing = met.pairing

    keeper.post(
        url("clutches.introduction", f"{met.pk}/change/"),
        {"strike_out_because": "Another pair."},
    )
    early = keeper.post(
        url("clutches.pairing", f"{pairing.pk}/change/"),
        {"not_after": "2026-01-09", "because": ""},
    )
    keeper.post(
        url("clutches.pairing", f"{pairing.pk}/change/"),
        {"not_after": "2026-02-01", "because": "She fights."},
    )

    met.refresh_from_db()
    pairing.refresh_from_db()
    assert met.struck_reason == "Another pair."
    assert "was planned on 10 Jan 2026" in " ".join(errors(early))
    assert pairing.ended_on == date(2026, 2, 1)
    assert Introduction.objects.count() == 1


def test_eggs_are_put_into_the_box_that_is_chosen(keeper: Client) -> None:
    nest = make_nest(eggs=0, rows=6, columns=6)

    keeper.post(url("clutches.clutch"), clutch_typed(box=nest.box.pk))

    assert EggPlace.objects.filter(egg__clutch__code="C-1").count() == 35


def test_what_is_unusual_is_told(keeper: Client) -> None:
    typed = clutch_typed(eggs_set="120")

    page = text(keeper.post(url("clutches.clutch"), typed, follow=True))

    assert "122 eggs are far more than usual (up to 90): count again." in page


def test_live_young_are_recorded_at_the_same_desk(keeper: Client) -> None:
    dam = AnimalFactory.create(species=SpeciesFactory.create(code="horned"))
    typed = clutch_typed(
        kind="live_young", dam=dam.pk, species=dam.species.pk, born_alive="14"
    )

    mixed = keeper.post(url("clutches.clutch"), typed)
    taken = keeper.post(
        url("clutches.clutch"), {**typed, "eggs_set": "0", "eggs_infertile": "0"}
    )

    assert "Eggs set does not go with live young" in " ".join(errors(mixed))
    assert (taken.status_code, errors(taken)) == (302, [])
    clutch = Clutch.objects.get()
    assert (clutch.kind, clutch.born_alive) == ("live_young", 14)
    assert not Egg.objects.exists()


def test_a_clutch_is_mended_with_a_reason(keeper: Client) -> None:
    plan = IncubationPlanFactory.create(retired_on=date(2026, 3, 1))
    clutch = ClutchFactory.create(eggs_set=3, eggs_infertile=0, plan=plan, mass_g=None)
    typed = {
        "code": clutch.code,
        "dam": clutch.dam.pk,
        "laid_on": "2026-02-10",
        "eggs_set": "4",
        "eggs_infertile": "0",
        "eggs_broken": "0",
        "born_alive": "0",
        "born_dead": "0",
        "mass_g": "",
        "pairing": "",
        "plan": plan.pk,
        "note": "",
        "because": "Counted again.",
    }

    answer = keeper.post(url("clutches.clutch", f"{clutch.pk}/change/"), typed)

    clutch.refresh_from_db()
    assert (answer.status_code, errors(answer)) == (302, [])
    assert (clutch.eggs_set, clutch.plan) == (4, plan)
    assert AuditEntry.objects.get().after == {"eggs_set": 4}


def test_who_hatched_is_only_looked_at(keeper: Client) -> None:
    row = HatchlingFactory.create()

    page = keeper.get(url("clutches.hatchling", f"{row.pk}/change/"))

    assert page.status_code == 200
    assert keeper.get(url("clutches.hatchling")).status_code == 403
