"""Clutches: laid, born, mended, read with how the eggs stand."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from clutches.models import Clutch, Egg, EggPlace
from core.models import Site
from core.roles import Role
from tests.api.conftest import Caller
from tests.api.racks import Json
from tests.clutches.nest import make_nest
from tests.factories import (
    AnimalFactory,
    CareProfileFactory,
    ClutchFactory,
    EggCheckFactory,
    EggFactory,
    HatchlingFactory,
    IncubationPlanFactory,
    IntroductionFactory,
    SiteFactory,
    SpeciesFactory,
)

CLUTCHES = "/api/v1/clutches/"
LAY, BEAR = f"{CLUTCHES}lay/", f"{CLUTCHES}bear/"


@pytest.fixture
def keeper(caller: Caller) -> APIClient:
    return caller(Role.KEEPER)


@pytest.fixture
def site(db: None) -> Site:
    CareProfileFactory.create()
    AnimalFactory.create(code="V-1", name="Juno")
    made: Site = SiteFactory.create(code="mill")
    return made


LAID: Json = {"code": "C-1", "dam": "V-1", "site": "mill", "eggs_set": 35}


def test_a_laying_is_answered_with_its_eggs(site: Site, keeper: APIClient) -> None:
    plan = IncubationPlanFactory.create(code="warm")
    met = IntroductionFactory.create(pairing__dam__code="V-2")
    box = make_nest(eggs=0, rows=6, columns=6, site="tarn").box
    body = {
        **LAID,
        "dam": "V-2",
        "eggs_infertile": 2,
        "mass_g": 45.6,
        "plan": "warm",
        "pairing": met.pairing_id,
        "box": box.code,
        "note": "Dug for 9 h.",
    }

    answer = keeper.post(LAY, body)

    row = Clutch.objects.get(code="C-1")
    said = answer.json()
    assert answer.status_code == 201
    assert said.pop("recorded_at").endswith("Z")
    assert said.pop("recorded_by").startswith("person")
    assert said == {
        "id": row.pk,
        "code": "C-1",
        "kind": "eggs",
        "species": "veiled_chameleon",
        "site": {"id": site.pk, "code": "mill"},
        "dam": {"id": met.pairing.dam_id, "code": "V-2"},
        "pairing": met.pairing_id,
        "laid_on": timezone.now().date().isoformat(),
        "eggs_set": 35,
        "eggs_infertile": 2,
        "eggs_broken": 0,
        "born_alive": 0,
        "born_dead": 0,
        "mass_g": 45.6,
        "plan": plan.code,
        "note": "Dug for 9 h.",
        "eggs": {"incubating": 35, "pipped": 0, "hatched": 0, "failed": 0},
        "animals": 0,
        "remarks": [],
    }
    assert EggPlace.objects.filter(egg__clutch=row).count() == 35


def test_what_is_unusual_is_kept_with_a_remark(site: Site, keeper: APIClient) -> None:
    answer = keeper.post(LAY, {**LAID, "eggs_set": 120})

    assert answer.status_code == 201
    assert answer.json()["remarks"] == [
        "120 eggs are far more than usual (up to 90): count again."
    ]


@pytest.mark.parametrize(
    ("changes", "status", "fields"),
    [
        ({"laid_on": "2199-12-31"}, 409, None),
        ({"eggs_set": 0}, 409, {"eggs_set": "1 to 500 in all"}),
        ({"eggs_set": -1}, 400, {"eggs_set": "int >= 0"}),
        ({"eggs_set": 501}, 409, {"eggs_set": "0 to 500"}),
        ({"mass_g": 0}, 409, {"mass_g": "more than 0, at most 99999.99 g"}),
        ({"code": "C" * 21}, 400, {"code": "str of length <= 20"}),
        ({"dam": "V-9"}, 400, {"dam": "the code of one on record"}),
        ({"dam": None}, 400, {"species": "the code of a species"}),
        ({"site": "moon"}, 400, {"site": "the code of one on record"}),
        ({"plan": "cold"}, 400, {"plan": "the code of one on record"}),
        ({"box": "B-9"}, 400, {"box": "the code of one on record"}),
        ({"pairing": 9}, 400, {"pairing": "the number of one on record"}),
        ({"pairing": 10**30}, 400, None),
    ],
)
def test_a_laying_that_cannot_be_is_refused(
    changes: Json, status: int, fields: Json | None, site: Site, keeper: APIClient
) -> None:
    answer = keeper.post(LAY, {**LAID, **changes})

    assert answer.status_code == status
    assert fields is None or answer.json()["fields"] == fields
    assert not Clutch.objects.exists()


def test_eggs_of_an_unknown_female_name_their_species(
    site: Site, keeper: APIClient
) -> None:
    answer = keeper.post(LAY, {**LAID, "dam": None, "species": "veiled_chameleon"})

    assert (answer.status_code, answer.json()["dam"]) == (201, None)


def test_live_young_are_born_of_live_bearers(site: Site, keeper: APIClient) -> None:
    AnimalFactory.create(code="H-1", species=SpeciesFactory.create(code="horned"))
    yesterday = (timezone.now() - timedelta(days=1)).date().isoformat()
    body = {"code": "L-1", "dam": "H-1", "site": "mill", "born_alive": 14}

    answer = keeper.post(BEAR, {**body, "born_dead": 1, "born_on": yesterday})
    of_eggs = keeper.post(BEAR, {**body, "code": "L-2", "dam": "V-1"})

    said = answer.json()
    assert (answer.status_code, said["kind"], said["laid_on"]) == (
        201,
        "live_young",
        yesterday,
    )
    assert (said["born_alive"], said["born_dead"], said["eggs_set"]) == (14, 1, 0)
    assert (of_eggs.status_code, of_eggs.json()["code"]) == (409, "clutch_refused")


def test_a_clutch_is_mended(site: Site, keeper: APIClient) -> None:
    row = keeper.post(LAY, LAID).json()["id"]
    IncubationPlanFactory.create(code="warm")
    correct = f"{CLUTCHES}{row}/correct/"

    answer = keeper.post(
        correct,
        {"eggs_set": 34, "mass_g": 40.5, "plan": "warm", "reason": "Counted again."},
    )

    said = answer.json()
    assert (answer.status_code, said["eggs_set"], said["mass_g"], said["plan"]) == (
        200,
        34,
        40.5,
        "warm",
    )
    assert said["eggs"]["incubating"] == 34
    cleared = keeper.post(correct, {"mass_g": None, "plan": None, "reason": "No."})
    assert (cleared.json()["mass_g"], cleared.json()["plan"]) == (None, None)
    nothing = keeper.post(correct, {"reason": "No."})
    assert (nothing.status_code, nothing.json()["code"]) == (409, "clutch_refused")


def test_no_egg_on_record_is_mended_away(site: Site, keeper: APIClient) -> None:
    row = keeper.post(LAY, LAID).json()["id"]
    EggCheckFactory.create(
        egg=Egg.objects.get(clutch=row, number=35), at=timezone.now()
    )

    answer = keeper.post(
        f"{CLUTCHES}{row}/correct/", {"eggs_set": 34, "reason": "Counted again."}
    )

    assert (answer.status_code, answer.json()["fields"]) == (
        409,
        {"eggs_set": "35 or more"},
    )


def test_eggs_are_counted_as_they_stand(viewer: APIClient) -> None:
    clutch = ClutchFactory.create(mass_g=Decimal("40.50"))
    EggFactory.create_batch(2, clutch=clutch)
    hatched = EggFactory.create(clutch=clutch, state="hatched", ended_on=clutch.laid_on)
    HatchlingFactory.create(clutch=clutch, egg=hatched)

    said = viewer.get(f"{CLUTCHES}{clutch.pk}/").json()

    assert said["eggs"] == {"incubating": 2, "pipped": 0, "hatched": 1, "failed": 0}
    assert said["animals"] == 1
