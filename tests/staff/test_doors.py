"""Every address × role, against a table written by hand."""

import pytest
from django.test import Client

from core.models import User
from core.roles import Role
from staff.doors import Door
from staff.urls import urlpatterns
from tests.factories import (
    AnimalFactory,
    EggBoxFactory,
    EggFactory,
    FindingFactory,
    RoomFactory,
)
from tests.staff.conftest import Visitor

ALL = set(Role)
CARE = ALL - {Role.VIEWER}
HANDS = {Role.OWNER, Role.MANAGER, Role.KEEPER, Role.VET}
BREED = {Role.OWNER, Role.MANAGER, Role.KEEPER}
PLACE = {Role.OWNER, Role.MANAGER, Role.ADOPTION_COORDINATOR}
SEE_PLACE = {*PLACE, Role.VET}
RUN = {Role.OWNER, Role.MANAGER}
VET = {Role.OWNER, Role.MANAGER, Role.VET}
EVERYBODY = None
MAY: dict[str, set[Role] | None] = {
    "": ALL,
    "sign-in/": EVERYBODY,
    "sign-out/": EVERYBODY,
    "findings/<int:pk>/": ALL,
    "findings/<int:pk>/acknowledge/": HANDS,
    "findings/<int:pk>/chart.svg": ALL,
    "animals/": ALL,
    "animals/<int:pk>/": ALL,
    "animals/<int:pk>/weights.svg": ALL,
    "animals/<int:pk>/growth/": ALL,
    "animals/<int:pk>/growth.svg": ALL,
    "animals/<int:pk>/pedigree/": ALL,
    "animals/<int:pk>/pedigree.svg": ALL,
    "breeding/": ALL,
    "breeding/boxes/<str:code>/": ALL,
    "breeding/boxes/<str:code>/record/": BREED,
    "breeding/boxes/<str:code>/undo/": BREED,
    "breeding/boxes/<str:code>/look/": BREED,
    "breeding/boxes/<str:code>/hatch/": BREED,
    "breeding/clutches/<str:code>/": ALL,
    "breeding/eggs/<int:pk>/": ALL,
    "breeding/eggs/<int:pk>/mend/": BREED,
    "breeding/sexing/": ALL,
    "breeding/sexing/record/": BREED,
    "breeding/looks/<int:pk>/photo.jpg": ALL,
    "breeding/pedigree-file/": RUN,
    "breeding/pairs/": ALL,
    "breeding/forecasts/": ALL,
    "breeding/clutches/<str:code>/forecast/": ALL,
    "breeding/clutches/<str:code>/forecast.svg": ALL,
    "breeding/clutches/<str:code>/warmth.svg": ALL,
    "breeding/labels.pdf": ALL,
    "breeding/figures/": ALL,
    "breeding/figures/<slug:table>.csv": ALL,
    "breeding/survival.svg": ALL,
    "packets/": SEE_PLACE,
    "packets/ask/": PLACE,
    "packets/<int:pk>.pdf": SEE_PLACE,
    "packets/<int:pk>.ics": SEE_PLACE,
    "packets/<int:pk>/cards.pdf": SEE_PLACE,
    "packets/jobs/<int:pk>.pdf": SEE_PLACE,
    "packets/jobs/<int:pk>/again/": PLACE,
    "packets/batches/<slug:batch>.zip": SEE_PLACE,
    "packets/batches/<slug:batch>/": SEE_PLACE,
    "check/<str:number>/<str:digits>/": EVERYBODY,
    "arrivals/": CARE,
    "arrivals/new/": CARE,
    "arrivals/<int:pk>/": CARE,
    "arrivals/<int:pk>/hold/": RUN,
    "intakes/<int:pk>/": CARE,
    "intakes/<int:pk>/look-over/": CARE,
    "intakes/<int:pk>/photograph/": CARE,
    "intakes/<int:pk>/lift-hold/": RUN,
    "intakes/<int:pk>/settle/": CARE,
    "intakes/photos/<int:pk>.jpg": CARE,
    "quarantine/": ALL,
    "quarantine/<int:pk>/clear/": VET,
    "rounds/": ALL,
    "rounds/<int:pk>/<slug:on>.pdf": ALL,
    "calendar/<str:address>.ics": EVERYBODY,
    "apply/": EVERYBODY,
    "applications/": PLACE,
    "applications/<int:pk>/": PLACE,
    "applications/<int:pk>/check/": PLACE,
    "applications/<int:pk>/decide/": PLACE,
    "applications/<int:pk>/address/": PLACE,
    "placements/": ALL,
    "placements/plan/": PLACE,
    "placements/<int:pk>/": SEE_PLACE,
    "placements/<int:pk>/open-gate/": RUN,
    "placements/<int:pk>/shut-gate/": RUN,
    "placements/<int:pk>/hand-over/": PLACE,
    "placements/<int:pk>/change/": PLACE,
    "placements/<int:pk>/call-off/": PLACE,
    "placements/<int:pk>/died-there/": PLACE,
    "placements/<int:pk>/extend/": PLACE,
    "placements/<int:pk>/lasting/": PLACE,
    "placements/<int:pk>/treatment/": VET,
    "placements/<int:pk>/packet/": PLACE,
    "placements/figures/": SEE_PLACE,
    "placements/figures/<slug:table>.csv": SEE_PLACE,
    "placements/figures/<slug:name>.svg": SEE_PLACE,
    "papers/": CARE,
    "papers/<int:pk>/": CARE,
    "papers/<int:pk>/photograph/": CARE,
    "papers/<int:pk>/withdraw/": CARE,
    "register/": PLACE,
    "register/write/": PLACE,
    "register.csv": PLACE,
    "placements/<int:pk>/address/": PLACE,
    "private-addresses/<int:pk>/withdraw/": PLACE,
    "applications/for/<int:pk>/": PLACE,
    "after/": PLACE,
    "after/<int:pk>/": PLACE,
    "after/<int:pk>/report/": PLACE,
    "after/asked/<int:pk>/answer/": PLACE,
    "after/asked/<int:pk>/drop/": PLACE,
    "after/told/<int:pk>/seen/": PLACE,
    "homes/<int:pk>/enclosures/new/": PLACE,
    "homes/enclosures/<int:pk>/": PLACE,
    "homes/enclosures/<int:pk>/describe/": PLACE,
    "homes/enclosures/<int:pk>/readings/": PLACE,
    "homes/enclosures/<int:pk>/file/": PLACE,
    "homes/enclosures/<int:pk>/review/": PLACE,
    "homes/enclosures/<int:pk>/choose/<int:placement_pk>/": PLACE,
    "homes/enclosures/<int:pk>/<int:animal_pk>/<slug:zone>/<slug:quantity>.svg": PLACE,
    "home/<str:address>/": EVERYBODY,
    "home/<str:address>/packets/<int:pk>/<slug:kind>/": EVERYBODY,
    "home/<str:address>/enclosures/": EVERYBODY,
    "home/<str:address>/enclosures/<int:pk>/describe/": EVERYBODY,
    "home/<str:address>/enclosures/<int:pk>/readings/": EVERYBODY,
    "home/<str:address>/enclosures/<int:pk>/file/": EVERYBODY,
    "home/<str:address>/follow-ups/<int:pk>/": EVERYBODY,
    "home/<str:address>/animals/<int:pk>/": EVERYBODY,
    "home/<str:address>/withdraw/": EVERYBODY,
    "me/": ALL,
    "me/calendars/": ALL,
    "me/calendars/<int:pk>/revoke/": ALL,
    "me/password/": ALL,
    "api-guide/": ALL,
    "api-guide/<slug:name>/": ALL,
    "healthz": EVERYBODY,
}
CLOSED = [address for address, roles in MAY.items() if roles is not EVERYBODY]
pytestmark = pytest.mark.django_db


@pytest.fixture
def pk() -> int:
    """One key that an animal, a finding, a room and an egg share; codes are like it."""
    animal = AnimalFactory.create(pk=7001)
    RoomFactory.create(pk=7001)
    EggFactory.create(pk=7001, clutch__code="7001")
    EggBoxFactory.create(code="7001")
    return FindingFactory.create(pk=7001, animal=animal).pk


def _path(address: str, pk: int) -> str:
    path = address.replace("<int:pk>", str(pk)).replace("<slug:on>", "2026-03-02")
    path = path.replace("<int:placement_pk>", str(pk))
    path = path.replace("<int:animal_pk>", str(pk)).replace("<slug:zone>", "basking")
    path = path.replace("<slug:quantity>", "temperature_c")
    path = path.replace("<slug:batch>", "7001")
    path = path.replace("<slug:name>", "none")
    return f"/{path}".replace("<slug:table>", "groups").replace("<str:code>", "7001")


def test_the_table_names_every_address_and_each_is_a_door() -> None:
    assert [str(p.pattern) for p in urlpatterns] == list(MAY)
    assert [p for p in urlpatterns if not isinstance(p.callback, Door)] == []
    opened = {str(p.pattern) for p in urlpatterns if p.callback.permission is None}
    assert opened == set(MAY) - set(CLOSED)


@pytest.mark.parametrize("address", CLOSED)
def test_a_stranger_is_asked_to_sign_in(address: str, pk: int) -> None:
    path = _path(address, pk)

    answer = Client().get(path)

    assert (answer.status_code, answer.headers["Location"]) == (
        302,
        f"/sign-in/?next={path}",
    )


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("address", CLOSED)
def test_a_door_opens_for_the_roles_of_the_table(
    address: str, role: Role, pk: int, visitor: Visitor
) -> None:
    may = role in (MAY[address] or ALL)

    answer = visitor(role).get(_path(address, pk))

    # 404: no picture of this kind; 405: a form's address. Both are past the door.
    assert (answer.status_code in {200, 404, 405}) is may
    assert (answer.status_code == 403) is not may


def test_who_is_refused_reads_why_and_whom_to_ask(pk: int, visitor: Visitor) -> None:
    answer = visitor(Role.VIEWER).post(f"/findings/{pk}/acknowledge/")

    assert answer.status_code == 403
    assert "acknowledge findings" in answer.content.decode()


def test_one_who_has_left_is_a_stranger(keeper: Client) -> None:
    User.objects.filter(pk=keeper.session["_auth_user_id"]).update(is_active=False)

    assert keeper.get("/").status_code == 302


def test_the_policy_forbids_everything_foreign(keeper: Client) -> None:
    answer = keeper.get("/")

    assert answer.headers["Cache-Control"] == "private, no-cache"
    assert "default-src 'self'" in answer.headers["Content-Security-Policy"]
    text = answer.content.decode()
    assert "style=" not in text
    assert "<script" not in text
