"""Every address × method × role, against a table written by hand."""

import re
from collections.abc import Iterator
from datetime import timedelta

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from api.urls import urlpatterns
from api.views import Door
from core.models import User
from core.roles import Role, TokenScope
from core.tokens import issue_token
from tests.api.conftest import Caller
from tests.factories import DeviceProbeFactory, UserFactory

ALL = set(Role)
CARE = ALL - {Role.VIEWER}
HANDS = CARE - {Role.ADOPTION_COORDINATOR}
BREED = {Role.OWNER, Role.MANAGER, Role.KEEPER}
PLACE = {Role.OWNER, Role.MANAGER, Role.ADOPTION_COORDINATOR}
PLACE_OR_VET = PLACE | {Role.VET}
OWN = {Role.OWNER}
RUN = {Role.OWNER, Role.MANAGER}
VET = {Role.OWNER, Role.MANAGER, Role.VET}
AUDIT = {Role.OWNER, Role.MANAGER, Role.VET}

MAY = {
    "GET me/": ALL,
    "GET schema/": ALL,
    "POST me/units/": ALL,
    "GET health/": ALL,
    "GET people/": OWN,
    "GET people/7/": OWN,
    "POST people/": OWN,
    "POST people/7/change/": OWN,
    "POST people/7/password/": OWN,
    "GET calendars/": ALL,
    "GET calendars/7/": ALL,
    "GET calendars/care/": ALL,
    "POST calendars/": ALL,
    "POST calendars/7/revoke/": ALL,
    "GET organisation/": ALL,
    "POST organisation/": RUN,
    "GET sites/": ALL,
    "GET sites/7/": ALL,
    "POST sites/": RUN,
    "POST sites/7/change/": RUN,
    "GET rooms/": ALL,
    "GET rooms/7/": ALL,
    "POST rooms/": RUN,
    "POST rooms/7/change/": RUN,
    "GET species/": ALL,
    "GET species/7/": ALL,
    "POST species/": RUN,
    "POST species/7/change/": RUN,
    "GET profiles/": ALL,
    "GET profiles/7/": ALL,
    "POST profiles/": RUN,
    "POST profiles/try/": RUN,
    "GET animals/": ALL,
    "GET animals/7/": ALL,
    "GET animals/7/targets/": ALL,
    "GET animals/7/findings/": ALL,
    "GET animals/7/weighings/": ALL,
    "GET animals/7/growth/": ALL,
    "GET animals/7/lineage/": ALL,
    "POST animals/": RUN,
    "POST animals/7/correct/": RUN,
    "POST animals/7/leave/": RUN,
    "POST animals/7/move/": HANDS,
    "GET pair-advice/": ALL,
    "GET breeding-due/": ALL,
    "GET sexing-due/": ALL,
    "GET breeding-figures/": ALL,
    "GET breeding-figures/groups-csv/": ALL,
    "GET breeding-figures/eggs-csv/": ALL,
    "GET collection-kinship/": ALL,
    "GET pairings/": ALL,
    "GET pairings/7/": ALL,
    "POST pairings/": BREED,
    "POST pairings/7/end/": BREED,
    "GET introductions/": ALL,
    "GET introductions/7/": ALL,
    "POST introductions/": BREED,
    "POST introductions/7/strike/": BREED,
    "GET clutches/": ALL,
    "GET clutches/7/": ALL,
    "POST clutches/lay/": BREED,
    "POST clutches/bear/": BREED,
    "POST clutches/7/correct/": BREED,
    "GET candidate-sires/": ALL,
    "GET candidate-sires/7/": ALL,
    "POST candidate-sires/": RUN,
    "GET animals/7/pedigree/": ALL,
    "POST pedigree-imports/": RUN,
    "GET enclosures/": ALL,
    "GET enclosures/7/": ALL,
    "GET enclosures/7/series/": ALL,
    "POST enclosures/": RUN,
    "POST enclosures/7/retire/": RUN,
    "GET set-ups/": ALL,
    "GET set-ups/7/": ALL,
    "POST set-ups/": RUN,
    "POST set-ups/7/correct/": RUN,
    "GET stays/": ALL,
    "GET stays/7/": ALL,
    "POST stays/": HANDS,
    "GET reproductive-states/": ALL,
    "GET reproductive-states/7/": ALL,
    "POST reproductive-states/": RUN,
    "GET target-overrides/": ALL,
    "GET target-overrides/7/": ALL,
    "POST target-overrides/": VET,
    "POST target-overrides/7/withdraw/": VET,
    "GET sight-lines/": ALL,
    "GET sight-lines/7/": ALL,
    "POST sight-lines/": RUN,
    "POST sight-lines/remove/": RUN,
    "GET weighings/": ALL,
    "GET weighings/7/": ALL,
    "POST weighings/": CARE,
    "POST weighings/confirm/": CARE,
    "POST weighings/7/correct/": CARE,
    "GET feedings/": ALL,
    "GET feedings/7/": ALL,
    "POST feedings/": CARE,
    "POST feedings/7/strike/": CARE,
    "GET observations/": ALL,
    "GET observations/7/": ALL,
    "POST observations/": CARE,
    "POST observations/7/strike/": CARE,
    "GET measurings/": ALL,
    "GET measurings/7/": ALL,
    "POST measurings/": CARE,
    "POST measurings/7/strike/": CARE,
    "GET chores/": ALL,
    "GET chores/7/": ALL,
    "POST chores/": CARE,
    "POST chores/7/strike/": CARE,
    "GET lamp-checks/": ALL,
    "GET lamp-checks/7/": ALL,
    "POST lamp-checks/": CARE,
    "POST lamp-checks/7/strike/": CARE,
    "GET doses/": ALL,
    "GET doses/7/": ALL,
    "POST doses/": CARE,
    "POST doses/7/strike/": CARE,
    "GET lamps/": ALL,
    "GET lamps/7/": ALL,
    "POST lamps/": RUN,
    "POST lamps/7/remove/": RUN,
    "GET feeding-orders/": ALL,
    "GET feeding-orders/7/": ALL,
    "POST feeding-orders/": VET,
    "POST feeding-orders/7/withdraw/": VET,
    "GET prescriptions/": ALL,
    "GET prescriptions/7/": ALL,
    "POST prescriptions/": VET,
    "POST prescriptions/7/stop/": VET,
    "GET health-tests/": ALL,
    "GET health-tests/7/": ALL,
    "POST health-tests/": CARE,
    "POST health-tests/7/result/": CARE,
    "POST health-tests/7/seen-by-vet/": CARE,
    "GET deaths/": ALL,
    "GET deaths/7/": ALL,
    "POST deaths/": RUN,
    "POST deaths/7/necropsy/": RUN,
    "GET forecasts/": ALL,
    "GET forecasts/7/": ALL,
    "GET forecasts/calibration/": ALL,
    "GET incubation-plans/": ALL,
    "GET incubation-plans/7/": ALL,
    "POST incubation-plans/": RUN,
    "POST incubation-plans/7/retire/": RUN,
    "GET egg-boxes/": ALL,
    "GET egg-boxes/7/": ALL,
    "GET egg-boxes/7/grid/": ALL,
    "POST egg-boxes/": BREED,
    "POST egg-boxes/7/move/": BREED,
    "POST egg-boxes/7/retire/": BREED,
    "GET box-checks/": ALL,
    "GET box-checks/7/": ALL,
    "POST box-checks/": BREED,
    "POST box-checks/7/strike/": BREED,
    "GET eggs/": ALL,
    "GET eggs/7/": ALL,
    "POST eggs/": BREED,
    "POST eggs/place/": BREED,
    "POST eggs/move/": BREED,
    "POST eggs/7/mend/": BREED,
    "POST eggs/mend/": BREED,
    "GET hatchlings/": ALL,
    "GET hatchlings/7/": ALL,
    "POST hatchlings/": BREED,
    "POST hatchlings/house/": BREED,
    "POST hatchlings/ascribe/": BREED,
    "GET hatchlings/labels/": ALL,
    "GET spur-checks/": ALL,
    "GET spur-checks/7/": ALL,
    "POST spur-checks/": BREED,
    "POST spur-checks/7/strike/": BREED,
    "GET spur-checks/7/photo/": ALL,
    "POST spur-checks/7/photo/": BREED,
    "GET sex-ratios/": ALL,
    "GET sexing-policies/": ALL,
    "GET sexing-policies/7/": ALL,
    "POST sexing-policies/": RUN,
    "GET egg-checks/": ALL,
    "GET egg-checks/7/": ALL,
    "POST egg-checks/": BREED,
    "POST egg-checks/7/strike/": BREED,
    "POST egg-checks/strike/": BREED,
    "GET review-policies/": ALL,
    "GET review-policies/7/": ALL,
    "GET review-policies/limits/": ALL,
    "POST review-policies/": RUN,
    "GET probes/": ALL,
    "GET probes/7/": ALL,
    "GET probes/7/series/": ALL,
    "POST probes/": RUN,
    "POST probes/7/retire/": RUN,
    "POST readings/": HANDS,
    "GET devices/": ALL,
    "GET devices/7/": ALL,
    "POST devices/": RUN,
    "POST devices/7/bind/": RUN,
    "POST devices/7/unbind/": RUN,
    "POST devices/7/revoke/": RUN,
    "GET unclaimed-readings/": ALL,
    "GET unclaimed-readings/7/": ALL,
    "POST unclaimed-readings/7/claim/": RUN,
    "POST unclaimed-readings/7/discard/": RUN,
    "GET logger-files/": ALL,
    "GET logger-files/7/": ALL,
    "POST logger-files/": HANDS,
    "POST logger-files/try/": HANDS,
    "GET logger-mappings/": ALL,
    "GET logger-mappings/7/": ALL,
    "POST logger-mappings/": HANDS,
    "GET conditions/": ALL,
    "GET review-runs/": ALL,
    "GET review-runs/7/": ALL,
    "POST review-runs/": RUN,
    "GET findings/": ALL,
    "GET findings/7/": ALL,
    "GET findings/7/nights/": ALL,
    "POST findings/7/acknowledge/": HANDS,
    "GET placements/": PLACE_OR_VET,
    "GET placements/7/": PLACE_OR_VET,
    "GET placements/7/gates/": PLACE_OR_VET,
    "POST placements/": PLACE,
    "POST placements/7/change-plan/": PLACE,
    "POST placements/7/open-gate/": RUN,
    "POST placements/7/shut-gate/": RUN,
    "POST placements/7/hand-over/": PLACE,
    "POST placements/7/call-off/": PLACE,
    "POST placements/7/died-there/": PLACE,
    "POST placements/7/extend/": PLACE,
    "POST placements/7/plan-lasting/": PLACE,
    "POST placements/7/hand-over-treatment/": VET,
    "GET placement-policies/": PLACE_OR_VET,
    "GET placement-policies/7/": PLACE_OR_VET,
    "POST placement-policies/": RUN,
    "GET packets/": PLACE_OR_VET,
    "GET packets/7/": PLACE_OR_VET,
    "POST packets/": PLACE,
    "GET packets/7/pdf/": PLACE_OR_VET,
    "GET packets/7/cards/": PLACE_OR_VET,
    "GET packets/7/calendar/": PLACE_OR_VET,
    "GET packets/check/": ALL,
    "GET packet-jobs/": PLACE_OR_VET,
    "GET packet-jobs/7/": PLACE_OR_VET,
    "GET packet-jobs/7/pdf/": PLACE_OR_VET,
    "POST packet-jobs/": PLACE,
    "POST packet-jobs/7/again/": PLACE,
    "GET homes/": PLACE,
    "GET homes/7/": PLACE,
    "POST homes/": PLACE,
    "POST homes/7/correct/": PLACE,
    "POST homes/7/keep/": PLACE,
    "POST homes/7/erase/": RUN,
    "GET applications/": PLACE,
    "GET applications/7/": PLACE,
    "GET applications/waiting/": PLACE,
    "GET applications/matches/": PLACE,
    "GET applications/questions/": PLACE,
    "POST applications/": PLACE,
    "POST applications/7/check/": PLACE,
    "POST applications/7/decide/": PLACE,
    "GET private-addresses/": PLACE,
    "GET private-addresses/7/": PLACE,
    "POST private-addresses/": PLACE,
    "POST private-addresses/7/withdraw/": PLACE,
    "GET personal-data-policies/": PLACE,
    "GET personal-data-policies/7/": PLACE,
    "POST personal-data-policies/": RUN,
    "GET home-enclosures/": PLACE,
    "GET home-enclosures/7/": PLACE,
    "POST home-enclosures/": PLACE,
    "POST home-enclosures/7/describe/": PLACE,
    "POST home-enclosures/7/readings/": PLACE,
    "POST home-enclosures/7/file/": PLACE,
    "POST home-enclosures/7/review/": PLACE,
    "POST home-enclosures/7/choose/": PLACE,
    "GET readiness-reviews/": PLACE_OR_VET,
    "GET readiness-reviews/7/": PLACE_OR_VET,
    "GET follow-ups/": PLACE_OR_VET,
    "GET follow-ups/7/": PLACE_OR_VET,
    "POST follow-ups/7/answer/": PLACE,
    "POST follow-ups/7/drop/": PLACE,
    "GET home-reports/": PLACE_OR_VET,
    "GET home-reports/7/": PLACE_OR_VET,
    "POST home-reports/": PLACE,
    "POST home-reports/7/see/": PLACE,
    "GET arrivals/": CARE,
    "GET arrivals/7/": CARE,
    "GET arrivals/known/": CARE,
    "POST arrivals/": CARE,
    "POST arrivals/7/hold/": RUN,
    "GET intakes/": CARE,
    "GET intakes/7/": CARE,
    "POST intakes/7/lift-hold/": RUN,
    "POST intakes/7/settle-species/": CARE,
    "POST intakes/7/photos/": CARE,
    "GET intake-photos/": CARE,
    "GET intake-photos/7/": CARE,
    "GET intake-photos/7/file/": CARE,
    "GET exams/": ALL,
    "GET exams/7/": ALL,
    "POST exams/": CARE,
    "GET hold-policies/": ALL,
    "GET hold-policies/7/": ALL,
    "POST hold-policies/": RUN,
    "GET quarantines/": ALL,
    "GET quarantines/7/": ALL,
    "POST quarantines/begin/": CARE,
    "POST quarantines/7/clear/": VET,
    "GET quarantine-policies/": ALL,
    "GET quarantine-policies/7/": ALL,
    "POST quarantine-policies/": RUN,
    "GET register-entries/": PLACE,
    "GET register-entries/7/": PLACE,
    "GET register-entries/csv/": PLACE,
    "POST register-entries/write/": PLACE,
    "GET papers/": ALL,
    "GET papers/7/": ALL,
    "POST papers/": CARE,
    "POST papers/7/withdraw/": CARE,
    "GET papers/7/photo/": PLACE,
    "POST papers/7/photo/": CARE,
    "GET placement-figures/": PLACE_OR_VET,
    "GET placement-figures/groups-csv/": PLACE_OR_VET,
    "GET placement-figures/census-csv/": PLACE_OR_VET,
    "GET placement-figures/left-out-csv/": PLACE_OR_VET,
    "GET exports/readings/csv/": ALL,
    "GET exports/readings/ndjson/": ALL,
    "GET exports/readings/parquet/": ALL,
    "GET exports/weighings/csv/": ALL,
    "GET exports/weighings/ndjson/": ALL,
    "GET exports/weighings/parquet/": ALL,
    "GET exports/animals/7/csv/": ALL,
    "GET exports/animals/7/ndjson/": ALL,
    "GET exports/animals/7/parquet/": ALL,
    "GET exports/organisation/csv/": RUN,
    "GET exports/organisation/ndjson/": RUN,
    "GET exports/organisation/parquet/": RUN,
    "GET rounds/": ALL,
    "GET care-tasks/": ALL,
    "GET tokens/": ALL,
    "GET tokens/7/": ALL,
    "POST tokens/": ALL,
    "POST tokens/7/revoke/": ALL,
    "GET audit-entries/": AUDIT,
    "GET audit-entries/7/": AUDIT,
    "GET webhooks/": RUN,
    "GET webhooks/7/": RUN,
    "POST webhooks/": RUN,
    "POST webhooks/7/change/": RUN,
    "POST webhooks/7/rotate/": RUN,
    "POST webhooks/7/pause/": RUN,
    "POST webhooks/7/resume/": RUN,
    "POST webhooks/7/end/": RUN,
    "POST webhooks/7/test/": RUN,
    "GET webhook-deliveries/": RUN,
    "GET webhook-deliveries/7/": RUN,
    "POST webhook-deliveries/7/again/": RUN,
}
# An owner's token reads all that its owner does, but what is only for those who take
# animals in,
NOT_READ = {
    "GET arrivals/",
    "GET arrivals/7/",
    "GET arrivals/known/",
    "GET intakes/",
    "GET intakes/7/",
    "GET intake-photos/",
    "GET intake-photos/7/",
    "GET intake-photos/7/file/",
}
# nor do `read` and `record` let these through: they belong to who runs the house
MANAGED = {
    "GET exports/organisation/csv/",
    "GET exports/organisation/ndjson/",
    "GET exports/organisation/parquet/",
    "GET people/",
    "GET people/7/",
    "GET webhooks/",
    "GET webhooks/7/",
    "GET webhook-deliveries/",
    "GET webhook-deliveries/7/",
}
# with the scope `record` these too, and it records, moves and acknowledges,
RECORD = {
    "POST animals/7/move/",
    "POST stays/",
    "POST logger-files/",
    "POST logger-files/try/",
    "POST logger-mappings/",
    "POST weighings/7/correct/",
    "POST weighings/",
    "POST weighings/confirm/",
    "POST feedings/",
    "POST feedings/7/strike/",
    "POST observations/",
    "POST observations/7/strike/",
    "POST measurings/",
    "POST measurings/7/strike/",
    "POST chores/",
    "POST chores/7/strike/",
    "POST lamp-checks/",
    "POST lamp-checks/7/strike/",
    "POST doses/",
    "POST doses/7/strike/",
    "POST health-tests/",
    "POST health-tests/7/result/",
    "POST health-tests/7/seen-by-vet/",
    "POST pairings/",
    "POST pairings/7/end/",
    "POST introductions/",
    "POST introductions/7/strike/",
    "POST clutches/lay/",
    "POST clutches/bear/",
    "POST clutches/7/correct/",
    "POST egg-boxes/",
    "POST egg-boxes/7/move/",
    "POST egg-boxes/7/retire/",
    "POST box-checks/",
    "POST box-checks/7/strike/",
    "POST eggs/",
    "POST eggs/place/",
    "POST eggs/move/",
    "POST eggs/7/mend/",
    "POST eggs/mend/",
    "POST egg-checks/strike/",
    "POST egg-checks/",
    "POST egg-checks/7/strike/",
    "POST hatchlings/",
    "POST hatchlings/house/",
    "POST hatchlings/ascribe/",
    "POST spur-checks/",
    "POST spur-checks/7/strike/",
    "POST spur-checks/7/photo/",
    "POST readings/",
    "POST findings/7/acknowledge/",
    "POST arrivals/",
    "POST intakes/7/settle-species/",
    "POST intakes/7/photos/",
    "POST exams/",
    "POST quarantines/begin/",
    "POST papers/",
    "POST papers/7/withdraw/",
    "POST papers/7/photo/",
}
# and a device's token does one thing.
DEVICE = {"POST readings/"}
EVERYBODY = {"GET health/", "GET packets/check/"}
"""What answers those who are not signed in, too."""
METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")


def _addresses() -> Iterator[tuple[str, dict[str, str]]]:
    for pattern in urlpatterns:
        if pattern.name == "nowhere":
            continue
        address = re.sub(r"\(\?P<id>.*?\)", "7", str(pattern.pattern))
        yield address.strip("^$\\Z").replace("\\Z", ""), pattern.callback.actions


ADDRESSES = sorted({address for address, _ in _addresses()})


def _mapped() -> set[str]:
    return {
        f"{method.upper()} {address}"
        for address, actions in _addresses()
        for method in actions
        if method != "head"
    }


def test_the_table_names_every_address_and_method() -> None:
    assert _mapped() == set(MAY)


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.django_db
def test_every_role_at_every_method(address: str, caller: Caller) -> None:
    clients = {role: caller(role) for role in Role}

    for method in METHODS:
        allowed = MAY.get(f"{method} {address}")
        for role, client in clients.items():
            status = client.generic(method, f"/api/v1/{address}").status_code
            if method == "OPTIONS":
                assert status == 204, role
            elif allowed is None:
                assert status == 405, (method, role)
            elif role in allowed:
                # Nothing of number 7 is there, no body was sent: but it was let in.
                assert status in {200, 400, 404}, (method, role)
            else:
                assert status == 403, (method, role)


@pytest.fixture
def scripts(db: None) -> dict[str, APIClient]:
    """Return a client for each kind of token of an owner."""
    owner, now = UserFactory(role=Role.OWNER.value), timezone.now()
    found = {}
    for scope in TokenScope:
        issued = issue_token(user=owner, name="x", scope=scope, by=None, at=now)
        found[scope.value] = _with(issued.text)
        if scope is TokenScope.INGEST:
            DeviceProbeFactory(device__token=issued.token)
    past = now - timedelta(days=2)
    expired = issue_token(
        user=owner,
        name="x",
        scope=TokenScope.MANAGE,
        by=None,
        at=past,
        expires_at=past + timedelta(days=1),
    )
    found["expired"] = _with(expired.text)
    return found


def _with(text: str) -> APIClient:
    client = APIClient()
    client.credentials(HTTP_AUTHORIZATION=f"Bearer {text}")
    return client


def _lets_through(line: str) -> dict[str, bool]:
    reads = line.startswith("GET ")
    return {
        "read": reads and line not in NOT_READ | MANAGED,
        "record": (reads and line not in MANAGED) or line in RECORD,
        "manage": Role.OWNER in MAY[line],
        "ingest": line in DEVICE | EVERYBODY,
    }


def test_the_tables_of_tokens_name_what_is_there() -> None:
    assert set(MAY) >= NOT_READ | MANAGED | RECORD | DEVICE
    assert all(Role.OWNER in MAY[line] for line in NOT_READ | MANAGED | RECORD | DEVICE)


@pytest.mark.parametrize("address", ADDRESSES)
def test_every_token_at_every_method(
    address: str, scripts: dict[str, APIClient]
) -> None:
    for method in METHODS:
        line, path = f"{method} {address}", f"/api/v1/{address}"
        for scope, may in (_lets_through(line) if line in MAY else {}).items():
            status = scripts[scope].generic(method, path).status_code
            assert status in ({200, 400, 404} if may else {403}), (method, scope)
        if line not in MAY:
            nothing = 204 if method == "OPTIONS" else 405
            for scope in TokenScope:
                status = scripts[scope].generic(method, path).status_code
                assert status == nothing, method
        answer = scripts["expired"].generic(method, path)
        assert (answer.status_code, answer.json()["code"]) == (
            401,
            "authentication_failed",
        )


@pytest.mark.parametrize("address", ADDRESSES)
@pytest.mark.django_db
def test_nobody_signed_in_gets_nothing(address: str) -> None:
    client = APIClient()

    for method in METHODS:
        answer = client.generic(method, f"/api/v1/{address}")

        if f"{method} {address}" in EVERYBODY:
            # Which packet was not said: but it was let in.
            assert answer.status_code in {200, 400}, method
            continue
        assert answer.status_code == 401, method
        assert answer["WWW-Authenticate"] == 'Bearer realm="spurbook"'
        assert answer.json()["code"] == "not_authenticated"


def test_every_action_declares_its_permission() -> None:
    for pattern in urlpatterns:
        if pattern.name != "nowhere":
            view = pattern.callback.cls
            assert issubclass(view, Door)
            assert set(pattern.callback.actions.values()) <= set(view.permissions)


def test_what_is_not_declared_is_refused(
    owner: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("api.me.Me.permissions", {})

    answer = owner.get("/api/v1/me/")

    assert answer.status_code == 403
    assert answer.json()["detail"] == (
        "Nobody has said who may do this; so nobody may."
    )


def test_a_refusal_names_the_permission(viewer: APIClient) -> None:
    assert viewer.get("/api/v1/homes/").json() == {
        "title": "Forbidden",
        "status": 403,
        "code": "permission_denied",
        "detail": "This needs the permission see_homes, which the role viewer does not "
        "have.",
        "fields": {},
        "confirm": None,
        "type": "about:blank",
    }


@pytest.mark.django_db
def test_a_person_no_longer_active_is_refused(caller: Caller) -> None:
    client = caller(Role.OWNER)
    User.objects.update(is_active=False)
    client.force_authenticate(User.objects.get())

    assert client.get("/api/v1/me/").status_code == 403
    assert client.get("/api/v1/animals/").status_code == 403
