"""The back office: everything is there, nobody writes but through an action."""

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from django.apps import apps
from django.contrib import admin
from django.contrib.auth.models import Group
from django.db import connection
from django.db.models import CompositePrimaryKey, Model
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from core.admin import Desk, WritingDesk
from core.models import (
    ApiToken,
    AuditEntry,
    CalendarAddress,
    Organisation,
    Room,
    Site,
    User,
)
from core.roles import Role
from husbandry.models import CareProfile, TargetOverride
from tests import factories
from tests.factories import (
    SHIPPED_PROFILE,
    AnimalFactory,
    ApiTokenFactory,
    CalendarAddressFactory,
    CareProfileFactory,
    OrganisationFactory,
    RoomFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
    TargetOverrideFactory,
    UserFactory,
)
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db
ALL = set(Role)
OWNER = {Role.OWNER}
MANAGE = {Role.OWNER, Role.MANAGER}
AUDIT = {*MANAGE, Role.VET}
PLACE = {*MANAGE, Role.ADOPTION_COORDINATOR}
SEE_PLACED = {*PLACE, Role.VET}
HANDS = {*AUDIT, Role.KEEPER}
BREED = {*MANAGE, Role.KEEPER}
CARE = {*HANDS, Role.ADOPTION_COORDINATOR}
NOBODY: set[Role] = set()
# model: who sees it, who adds, who changes
MAY: dict[str, tuple[set[Role], set[Role], set[Role]]] = {
    "core.webhook": (MANAGE, MANAGE, MANAGE),
    "core.notice": (MANAGE, NOBODY, NOBODY),
    "core.delivery": (MANAGE, NOBODY, NOBODY),
    "core.attempt": (MANAGE, NOBODY, NOBODY),
    "core.organisation": (ALL, MANAGE, MANAGE),
    "core.site": (ALL, MANAGE, MANAGE),
    "core.room": (ALL, MANAGE, MANAGE),
    "core.user": (OWNER, OWNER, OWNER),
    "core.apitoken": (OWNER, OWNER, NOBODY),
    "core.calendaraddress": (OWNER, NOBODY, NOBODY),
    "core.keptanswer": (OWNER, NOBODY, NOBODY),
    "core.auditentry": (AUDIT, NOBODY, NOBODY),
    "husbandry.species": (ALL, MANAGE, MANAGE),
    "husbandry.careprofile": (ALL, MANAGE, NOBODY),
    "husbandry.targetoverride": (ALL, AUDIT, AUDIT),
    "husbandry.animal": (ALL, MANAGE, MANAGE),
    "husbandry.reproductivespell": (ALL, MANAGE, NOBODY),
    "husbandry.earliercare": (ALL, NOBODY, NOBODY),
    "husbandry.stay": (ALL, HANDS, HANDS),
    "husbandry.enclosure": (ALL, MANAGE, MANAGE),
    "husbandry.setup": (ALL, MANAGE, MANAGE),
    "husbandry.sightline": (ALL, MANAGE, MANAGE),
    "husbandry.probe": (ALL, MANAGE, MANAGE),
    "husbandry.device": (ALL, MANAGE, NOBODY),
    "husbandry.deviceprobe": (ALL, NOBODY, NOBODY),
    "husbandry.loggermapping": (ALL, NOBODY, NOBODY),
    "husbandry.readingimport": (ALL, HANDS, NOBODY),
    "husbandry.unclaimedreadings": (ALL, NOBODY, NOBODY),
    "husbandry.unclaimedbatch": (ALL, NOBODY, NOBODY),
    "husbandry.weighing": (ALL, CARE, CARE),
    "husbandry.feeding": (ALL, CARE, CARE),
    "husbandry.feedingorder": (ALL, AUDIT, AUDIT),
    "husbandry.observation": (ALL, CARE, CARE),
    "husbandry.measuring": (ALL, CARE, CARE),
    "husbandry.chore": (ALL, CARE, CARE),
    "husbandry.lamp": (ALL, MANAGE, MANAGE),
    "husbandry.lampcheck": (ALL, CARE, CARE),
    "husbandry.prescription": (ALL, AUDIT, NOBODY),
    "husbandry.dose": (ALL, CARE, CARE),
    "husbandry.healthtest": (ALL, CARE, NOBODY),
    "husbandry.death": (ALL, MANAGE, NOBODY),
    "husbandry.reviewpolicy": (ALL, MANAGE, NOBODY),
    "husbandry.reviewrun": (ALL, NOBODY, NOBODY),
    "husbandry.sighting": (ALL, NOBODY, NOBODY),
    "husbandry.finding": (ALL, NOBODY, NOBODY),
    "husbandry.acknowledgement": (ALL, NOBODY, NOBODY),
    "clutches.pairing": (ALL, BREED, BREED),
    "clutches.introduction": (ALL, BREED, BREED),
    "clutches.clutch": (ALL, BREED, BREED),
    "clutches.hatchling": (ALL, NOBODY, NOBODY),
    "clutches.candidatesire": (ALL, MANAGE, NOBODY),
    "clutches.incubationplan": (ALL, MANAGE, MANAGE),
    "clutches.incubationphase": (ALL, NOBODY, NOBODY),
    "clutches.forecast": (ALL, NOBODY, NOBODY),
    "clutches.eggbox": (ALL, BREED, BREED),
    "clutches.boxstay": (ALL, BREED, BREED),
    "clutches.boxcheck": (ALL, BREED, BREED),
    "clutches.egg": (ALL, NOBODY, NOBODY),
    "clutches.eggplace": (ALL, BREED, BREED),
    "clutches.eggcheck": (ALL, BREED, BREED),
    "clutches.spurcheck": (ALL, BREED, BREED),
    "clutches.sexingpolicy": (ALL, MANAGE, NOBODY),
    "husbandry.quarantine": (ALL, CARE, AUDIT),
    "placements.clearance": (ALL, NOBODY, NOBODY),
    "placements.quarantinepolicy": (ALL, MANAGE, NOBODY),
    "placements.arrival": (PLACE, NOBODY, NOBODY),
    "placements.intake": (CARE, NOBODY, NOBODY),
    "placements.intakephoto": (CARE, NOBODY, NOBODY),
    "placements.exam": (ALL, NOBODY, NOBODY),
    "placements.examline": (ALL, NOBODY, NOBODY),
    "placements.holdpolicy": (ALL, MANAGE, NOBODY),
    "placements.home": (PLACE, PLACE, PLACE),
    "placements.application": (PLACE, PLACE, PLACE),
    "placements.applicationcheck": (PLACE, PLACE, NOBODY),
    "placements.privateaddress": (PLACE, NOBODY, NOBODY),
    "placements.personaldatapolicy": (PLACE, MANAGE, NOBODY),
    "placements.placement": (PLACE, PLACE, PLACE),
    "placements.gateopening": (SEE_PLACED, MANAGE, MANAGE),
    "placements.treatmenthandover": (SEE_PLACED, AUDIT, NOBODY),
    "placements.placementpolicy": (SEE_PLACED, MANAGE, NOBODY),
    "placements.homeenclosure": (PLACE, NOBODY, NOBODY),
    "placements.homereading": (PLACE, NOBODY, NOBODY),
    "placements.readinessreview": (PLACE, NOBODY, NOBODY),
    "placements.followup": (PLACE, NOBODY, NOBODY),
    "placements.homereport": (PLACE, PLACE, PLACE),
    "placements.animalpaper": (CARE, CARE, CARE),
    "placements.registerentry": (PLACE, NOBODY, NOBODY),
    "placements.packet": (SEE_PLACED, PLACE, NOBODY),
    "placements.packetjob": (SEE_PLACED, NOBODY, NOBODY),
}
OURS = ("core", "husbandry", "clutches", "placements")


def our_models() -> Iterator[type[Model]]:
    for label in OURS:
        yield from apps.get_app_config(label).get_models()


def _factory(label: str) -> Callable[[], Model]:
    found: dict[str, Any] = {
        f._meta.model._meta.label_lower: f
        for f in vars(factories).values()
        if isinstance(f, type) and f.__module__ == factories.__name__
    }
    return found[label].create


def _url(label: str, rest: str = "") -> str:
    return f"/admin/{label.replace('.', '/')}/{rest}"


def test_every_model_is_there_but_those_the_admin_cannot_hold() -> None:
    composite = {
        m._meta.label_lower
        for m in our_models()
        if isinstance(m._meta.pk, CompositePrimaryKey)
    }
    here = {m._meta.label_lower for m in our_models()}

    assert composite == {
        *("husbandry.reading", "husbandry.conditions", "clutches.incubatorday"),
    }
    assert {m._meta.label_lower for m in admin.site._registry} == here - composite
    assert set(MAY) == here - composite


def test_every_desk_writes_nothing_or_says_so() -> None:
    desks = admin.site._registry.values()

    assert [d for d in desks if not isinstance(d, Desk)] == []
    writing = {d.model._meta.label_lower for d in desks if isinstance(d, WritingDesk)}
    only_steps = {"husbandry.unclaimedreadings"}
    adding = {label for label, (_, adds, _) in MAY.items() if adds}
    assert writing == adding | only_steps
    assert not admin.site.is_registered(Group)


@pytest.mark.parametrize("role", Role)
@pytest.mark.parametrize("label", MAY)
def test_a_list_opens_for_the_roles_of_the_table(
    label: str, role: Role, visitor: Visitor
) -> None:
    sees, adds, _ = MAY[label]
    client = visitor(role)

    assert (client.get(_url(label)).status_code == 200) is (role in sees)
    assert (client.get(_url(label, "add/")).status_code == 200) is (role in adds)


@pytest.mark.parametrize("label", MAY)
def test_a_record_can_be_looked_at_and_changed_only_as_declared(
    label: str, visitor: Visitor
) -> None:
    row = _factory(label)()
    for role in Role:
        answer = visitor(role).get(_url(label, f"{row.pk}/change/"))

        assert (answer.status_code == 200) is (role in MAY[label][0])
        if answer.status_code == 200:
            assert b"Traceback" not in answer.content
            changes = b'name="_save"' in answer.content
            assert changes is (role in MAY[label][2]), role


@pytest.mark.parametrize("label", MAY)
def test_nobody_deletes(label: str, owner: Client) -> None:
    row = _factory(label)()

    assert owner.get(_url(label, f"{row.pk}/delete/")).status_code == 403
    assert (
        owner.post(_url(label, f"{row.pk}/delete/"), {"post": "yes"}).status_code == 403
    )
    assert type(row)._default_manager.filter(pk=row.pk).exists()


@pytest.mark.parametrize("label", sorted(set(MAY) - {"core.organisation"}))
def test_a_list_takes_the_same_queries_for_many(label: str, owner: Client) -> None:
    def count() -> int:
        with CaptureQueriesContext(connection) as caught:
            assert owner.get(_url(label)).status_code == 200
        return len(caught)

    make = _factory(label)
    make()
    count()  # what is kept for the process is fetched once
    one = count()
    rows = [make() for _ in range(4)] if label != "husbandry.species" else []

    assert count() == one
    assert all(r.pk for r in rows)


@pytest.mark.parametrize("label", MAY)
def test_a_list_can_be_searched(label: str, owner: Client) -> None:
    _factory(label)()

    assert owner.get(_url(label), {"q": "zzz"}).status_code == 200


def test_a_stranger_and_one_who_left_see_nothing(keeper: Client) -> None:
    User.objects.update(is_active=False)

    for client in (Client(), keeper):
        assert client.get("/admin/").status_code == 302


def test_a_role_that_is_none_opens_nothing(visitor: Visitor) -> None:
    client = visitor(Role.OWNER)
    User.objects.update(role="ghost")

    assert client.get("/admin/").status_code == 302
    assert client.get("/admin/login/").status_code == 403


# Places


def test_a_site_is_added_by_its_action_and_keeps_its_clock(owner: Client) -> None:
    form = {
        "code": "mill",
        "name": "Mill",
        "time_zone": "Europe/Berlin",
        "latitude_deg": "52.5",
        "longitude_deg": "13.4",
    }
    owner.post("/admin/core/site/add/", form)
    site = Site.objects.get(code="mill")

    owner.post(
        f"/admin/core/site/{site.pk}/change/",
        {"name": "Old mill", "time_zone": "Europe/Lisbon"},
    )

    site.refresh_from_db()
    assert (site.name, site.time_zone) == ("Old mill", "Europe/Berlin")
    verbs = list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["add_site", "change_site"]


def test_a_refused_site_says_why_and_keeps_what_was_typed(owner: Client) -> None:
    form = {
        "code": "mill",
        "name": "Mill",
        "time_zone": "Europe/Nowhere",
        "latitude_deg": "91",
        "longitude_deg": "0",
    }

    text = owner.post("/admin/core/site/add/", form).content.decode()

    assert "is no time zone. Give an IANA name such as Europe/Lisbon." in text
    assert 'value="Mill"' in text
    assert not Site.objects.exists()


def test_rooms_are_added_and_renamed(owner: Client) -> None:
    site = SiteFactory.create()
    form = {"site": site.pk, "code": "shed", "name": "Shed", "position": "2"}
    form |= {"quarantine": "on"}
    owner.post("/admin/core/room/add/", form)
    room = Room.objects.get(code="shed")
    assert room.quarantine

    owner.post(
        f"/admin/core/room/{room.pk}/change/", {"name": "Old shed", "position": 2}
    )
    again = owner.post("/admin/core/room/add/", form)

    room.refresh_from_db()
    assert (room.name, room.quarantine) == ("Old shed", False)
    last = AuditEntry.objects.latest("pk")
    assert last.before == {"name": "Shed", "quarantine": True}
    assert last.after == {"name": "Old shed", "quarantine": False}
    assert "already exists" in again.content.decode()
    assert Room.objects.count() == 1


def test_the_organisation_is_named_once_and_renamed(owner: Client) -> None:
    form = {"name": "Willow Bend", "contact": ""}
    owner.post("/admin/core/organisation/add/", form)
    owner.post("/admin/core/organisation/1/change/", {**form, "name": "Willow"})

    assert Organisation.objects.get().name == "Willow"
    assert AuditEntry.objects.filter(verb="name_organisation").count() == 2
    assert owner.get("/admin/core/organisation/add/").status_code == 403


def test_a_species_keeps_its_code(owner: Client) -> None:
    species = SpeciesFactory.create()

    owner.post(
        f"/admin/husbandry/species/{species.pk}/change/",
        {"code": "other", "common_name": "Veiled", "scientific_name": "C. c."},
    )

    species.refresh_from_db()
    assert (species.code, species.common_name) == ("veiled_chameleon", "Veiled")
    assert AuditEntry.objects.get().verb == "change_species"


# Care profiles


def _publish(client: Client, text: str) -> str:
    species = SpeciesFactory.create()
    form = {
        "species": species.pk,
        "effective_on": "2026-12-01",
        "source_text": text.replace("\n", "\r\n"),
    }
    answer = client.post("/admin/husbandry/careprofile/add/", form)
    return answer.content.decode()


def test_a_new_version_is_published_word_for_word(owner: Client) -> None:
    CareProfileFactory.create(version=1)
    text = SHIPPED_PROFILE.read_text("utf-8") + "# changed\n"

    shown = _publish(owner, text)

    assert shown == ""
    version = CareProfile.objects.get(version=2)
    assert version.source_text == text
    assert str(version.published_by_id) == owner.session["_auth_user_id"]
    assert AuditEntry.objects.get().verb == "publish_profile"


def test_every_problem_of_a_text_is_shown_by_its_line(owner: Client) -> None:
    text = SHIPPED_PROFILE.read_text("utf-8")
    lines = text.splitlines()
    first = next(i for i, x in enumerate(lines) if x.strip() == "zone: basking")
    lines[first] = lines[first].replace("basking", "attic")
    second = next(i for i, x in enumerate(lines) if "period: night" in x)
    lines[second] = lines[second].replace("night", "dusk")

    shown = _publish(owner, "\n".join(lines))

    assert f"line {first + 1}, " in shown
    assert f"line {second + 1}, " in shown
    assert "attic" in shown
    assert not CareProfile.objects.exists()


def test_the_form_begins_with_the_newest_text(owner: Client) -> None:
    profile = CareProfileFactory.create()

    shown = owner.get("/admin/husbandry/careprofile/add/").content.decode()
    chosen = owner.get(
        "/admin/husbandry/careprofile/add/", {"species": profile.species_id}
    ).content.decode()

    assert "species: veiled_chameleon" in shown
    assert "species: veiled_chameleon" in chosen


def test_a_species_without_a_profile_begins_empty(owner: Client) -> None:
    SpeciesFactory.create()

    answer = owner.get("/admin/husbandry/careprofile/add/")

    assert answer.status_code == 200
    assert "species: veiled" not in answer.content.decode()


def test_a_published_text_keeps_its_indentation(owner: Client) -> None:
    profile = CareProfileFactory.create()

    shown = owner.get(f"/admin/husbandry/careprofile/{profile.pk}/change/")

    assert "<pre># Care profile" in shown.content.decode()


# Agreements


def _agreement(**fields: Any) -> dict[str, Any]:
    animal = StayFactory.create(animal=AnimalFactory.create()).animal
    today = timezone.localdate()
    return {
        "animal": animal.pk,
        "quantity": "temperature_c",
        "zone": "ambient",
        "period": "night",
        "low": "18",
        "high": "22",
        "hard_low": "",
        "hard_high": "",
        "tolerated_minutes": "60",
        "from_on": (today + timedelta(days=1)).isoformat(),
        "until_on": (today + timedelta(days=9)).isoformat(),
        "reason": "On the vet's word.",
        **fields,
    }


def test_a_vet_agrees_on_a_target_and_takes_it_back(visitor: Visitor) -> None:
    vet = visitor(Role.VET)
    answer = vet.post("/admin/husbandry/targetoverride/add/", _agreement())
    assert answer.status_code == 302, answer.content.decode()
    row = TargetOverride.objects.get()
    place = f"/admin/husbandry/targetoverride/{row.pk}/change/"

    silent = vet.post(place, {"withdraw_reason": " "})
    vet.post(place, {"withdraw_reason": "Recovered."})

    row.refresh_from_db()
    assert "This field is required" in silent.content.decode()
    assert row.withdrawn_at is not None
    assert (row.low, row.reason) == (18, "On the vet's word.")
    verbs = list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["override_target", "withdraw_override"]
    assert 'name="_save"' not in vet.get(place).content.decode()


def test_an_agreement_that_cannot_be_says_why(visitor: Visitor) -> None:
    form = _agreement(low="30", high="22")

    text = visitor(Role.VET).post("/admin/husbandry/targetoverride/add/", form)

    assert "low 30.000 lies above high 22.000" in text.content.decode()
    assert not TargetOverride.objects.exists()
    assert not AuditEntry.objects.exists()


def test_only_animals_in_care_are_offered(visitor: Visitor) -> None:
    AnimalFactory.create(name="Juno")
    AnimalFactory.create(name="Gone", left=True)

    shown = visitor(Role.VET).get("/admin/husbandry/targetoverride/add/")

    assert " Juno</option>" in shown.content.decode()
    assert " Gone</option>" not in shown.content.decode()


def test_a_withdrawn_agreement_cannot_be_withdrawn_again(visitor: Visitor) -> None:
    row = TargetOverrideFactory.create(withdrawn_at=timezone.now())
    place = f"/admin/husbandry/targetoverride/{row.pk}/change/"

    assert visitor(Role.VET).post(place, {"withdraw_reason": "x"}).status_code == 403


# People


def test_a_person_is_registered_and_changed_by_actions(owner: Client) -> None:
    form = {
        "username": "ana",
        "role": "keeper",
        "first_name": "Ana",
        "last_name": "",
        "email": "",
        "password": "a cool misty night",
    }
    owner.post("/admin/core/user/add/", form)
    ana = User.objects.get(username="ana")
    assert ana.check_password("a cool misty night")

    owner.post(
        f"/admin/core/user/{ana.pk}/change/",
        {
            "role": "vet",
            "first_name": "Ana",
            "last_name": "",
            "email": "",
            "temperature_unit": "F",
            "mass_unit": "g",
        },
    )

    ana.refresh_from_db()
    assert (ana.role, ana.is_active, ana.temperature_unit) == ("vet", False, "F")
    verbs = list(AuditEntry.objects.order_by("pk").values_list("verb", flat=True))
    assert verbs == ["register_user", "change_person"]
    assert "a cool misty night" not in str(list(AuditEntry.objects.values()))


def test_a_weak_password_is_refused_beside_the_form(owner: Client) -> None:
    form = {"username": "ana", "role": "keeper", "password": "short"}

    text = owner.post("/admin/core/user/add/", form).content.decode()

    assert "This password cannot be used" in text
    assert 'value="ana"' in text
    assert not User.objects.filter(username="ana").exists()


def test_the_last_owner_cannot_step_down(owner: Client) -> None:
    me = User.objects.get(pk=owner.session["_auth_user_id"])

    text = owner.post(
        f"/admin/core/user/{me.pk}/change/",
        {
            "role": "viewer",
            "is_active": "on",
            "temperature_unit": "C",
            "mass_unit": "g",
        },
    ).content.decode()

    me.refresh_from_db()
    assert "is the only active owner" in text
    assert me.role == "owner"


def test_the_owner_gives_a_new_password(owner: Client, visitor: Visitor) -> None:
    ana = UserFactory.create(username="ana")
    place = f"/admin/core/user/{ana.pk}/password/"
    new = "a cool misty night"

    weak = owner.post(place, {"new_password1": "x", "new_password2": "x"})
    owner.post(place, {"new_password1": new, "new_password2": new})

    ana.refresh_from_db()
    assert "too short" in weak.content.decode()
    assert ana.check_password(new)
    assert AuditEntry.objects.get().verb == "set_password"
    assert visitor(Role.MANAGER).get(place).status_code == 403
    assert place in owner.get(f"/admin/core/user/{ana.pk}/change/").content.decode()


def test_a_calendar_address_is_closed_by_whoever_manages_people(owner: Client) -> None:
    address = CalendarAddressFactory.create()
    form = {"action": "revoke", "_selected_action": [address.pk]}

    owner.post("/admin/core/calendaraddress/", form)
    again = owner.post("/admin/core/calendaraddress/", form, follow=True)

    assert CalendarAddress.objects.get().revoked_at is not None
    assert "already" in again.content.decode()
    shown = owner.get(f"/admin/core/calendaraddress/{address.pk}/change/")
    assert address.digest not in shown.content.decode()


def test_a_key_is_revoked_and_its_digest_is_never_shown(owner: Client) -> None:
    token = ApiTokenFactory.create()
    form = {"action": "revoke", "_selected_action": [token.pk]}

    owner.post("/admin/core/apitoken/", form)
    again = owner.post("/admin/core/apitoken/", form, follow=True)

    assert ApiToken.objects.get().revoked_at is not None
    assert "was revoked already" in again.content.decode()
    shown = owner.get(f"/admin/core/apitoken/{token.pk}/change/").content.decode()
    assert token.digest not in shown


def test_pages_are_under_our_own_name_with_our_own_policy(owner: Client) -> None:
    OrganisationFactory.create()
    RoomFactory.create()

    answer = owner.get("/admin/")

    text = answer.content.decode()
    assert "Spurbook back office" in text
    assert "Django administration" not in text
    assert "default-src 'self'" in answer.headers["Content-Security-Policy"]
