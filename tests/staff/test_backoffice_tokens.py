"""Tokens and devices in the back office: the text once, and steps for the rest."""

import re

import pytest
from django.test import Client

from core.models import ApiToken, AuditEntry, User
from core.roles import Role
from core.tokens import verify_token
from husbandry.models import Device
from husbandry.queries.devices import bound_probes
from tests.factories import (
    NOW,
    ApiTokenFactory,
    DeviceProbeFactory,
    ProbeFactory,
    UserFactory,
)
from tests.staff.conftest import Visitor
from tests.staff.record_forms import errors, text, url

pytestmark = pytest.mark.django_db


def _shown(answer: object) -> str:
    found = re.search(r"<code>(sb_[^<]+)</code>", text(answer))
    assert found
    return found[1]


def test_a_token_is_issued_and_shown_once(owner: Client) -> None:
    keeper = UserFactory.create()
    typed = {"user": keeper.pk, "name": "hourly copy", "scope": "record", "days": "30"}

    answer = owner.post(url("core.apitoken"), typed)

    shown, row = _shown(answer), ApiToken.objects.get()
    assert "no-store" in answer["Cache-Control"]
    assert verify_token(shown, at=NOW) == keeper
    assert (row.scope, row.name) == ("record", "hourly copy")
    assert row.expires_at is not None
    assert (row.expires_at - row.created_at).days == 30
    later = text(owner.get(url("core.apitoken", f"{row.pk}/change/")))
    later += text(owner.get(url("core.apitoken", "")))
    later += text(owner.get(url("core.apitoken", f"{row.pk}/history/")))
    assert shown.split("_", 2)[2] not in later
    assert row.digest not in later
    assert "record" in later
    assert AuditEntry.objects.get(verb="issue_token").by != keeper


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({"name": " "}, "This field is required."),
        ({"scope": "ingest"}, "is not one of the available choices"),
        ({"days": "0"}, "greater than or equal to 1"),
        ({"days": "3651"}, "less than or equal to 3650"),
    ],
)
def test_nonsense_is_refused_beside_the_field(
    typed: dict[str, str], told: str, owner: Client
) -> None:
    good = {"user": UserFactory.create().pk, "name": "x", "scope": "read", "days": ""}

    answer = owner.post(url("core.apitoken"), {**good, **typed})

    assert told in " ".join(errors(answer))
    assert not ApiToken.objects.exists()


def test_a_token_is_revoked_by_its_step(owner: Client) -> None:
    row = ApiTokenFactory.create()
    place = url("core.apitoken", f"{row.pk}/revoke/")
    assert place in text(owner.get(url("core.apitoken", f"{row.pk}/change/")))

    owner.post(place, {"sure": "yes"})
    again = owner.post(place, {"sure": "yes"})

    row.refresh_from_db()
    assert row.revoked_at is not None
    assert "was revoked already" in text(again)
    assert place not in text(owner.get(url("core.apitoken", f"{row.pk}/change/")))


def test_a_manager_registers_a_device_in_their_own_name(visitor: Visitor) -> None:
    manager = visitor(Role.MANAGER)
    probe, other = ProbeFactory.create(code="P-1"), ProbeFactory.create(code="P-2")

    answer = manager.post(
        url("husbandry.device"), {"name": "hub", "probes": [probe.pk]}
    )

    person, device = verify_token(_shown(answer), at=NOW), Device.objects.get()
    assert person == User.objects.get(pk=manager.session["_auth_user_id"])
    assert bound_probes([device.pk]) == {device.pk: (probe,)}
    manager.post(url("husbandry.device", f"{device.pk}/bind/"), {"probes": [other.pk]})
    manager.post(
        url("husbandry.device", f"{device.pk}/unbind/"), {"probes": [probe.pk]}
    )
    assert bound_probes([device.pk]) == {device.pk: (other,)}
    listed = text(manager.get(url("husbandry.device", "")))
    assert "P-2" in listed
    assert "P-1" not in listed
    manager.post(url("husbandry.device", f"{device.pk}/revoke/"), {"sure": "yes"})
    assert verify_token(_shown(answer), at=NOW) is None


def test_a_device_in_the_name_of_others_is_for_who_manages_people(
    visitor: Visitor, owner: Client
) -> None:
    keeper, probe = UserFactory.create(), ProbeFactory.create()
    typed = {"name": "hub", "probes": [probe.pk], "user": keeper.pk}

    refused = visitor(Role.MANAGER).post(url("husbandry.device"), typed)
    assert "manage_people" in " ".join(errors(refused))
    assert not Device.objects.exists()

    owner.post(url("husbandry.device"), typed)
    assert Device.objects.get().token.user == keeper


def test_a_probe_that_is_not_bound_is_not_taken_away(owner: Client) -> None:
    device = DeviceProbeFactory.create().device
    other = ProbeFactory.create(code="P-9")

    answer = owner.post(
        url("husbandry.device", f"{device.pk}/unbind/"), {"probes": [other.pk]}
    )

    assert "P-9: not bound to it" in text(answer)
