"""Private addresses: shown once, kept as a digest, useless once over or withdrawn."""

import json
from datetime import timedelta

import pytest

from core.models import AuditEntry
from placements.actions.private_addresses import (
    PrivateAddressError,
    give_address,
    open_address,
    withdraw_address,
)
from placements.models import Home, PrivateAddress
from placements.queries.private_addresses import home_behind, home_of
from placements.rules.private_addresses import (
    APPLICATION_LASTS,
    PLACEMENT_LASTS,
    holds,
)
from placements.rules.vocabulary import PlacementKind
from tests.factories import (
    NOW,
    ApplicationFactory,
    HomeFactory,
    PlacementFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
MOMENT = timedelta(microseconds=1)


@pytest.mark.parametrize(
    ("expires", "revoked", "good"),
    [
        (NOW + MOMENT, None, True),
        (NOW, None, False),
        (NOW - MOMENT, None, False),
        (NOW + MOMENT, NOW, False),
    ],
)
def test_when_an_address_holds(expires: object, revoked: object, good: bool) -> None:
    assert holds(expires_at=expires, revoked_at=revoked, at=NOW) is good


def test_an_address_opens_the_page_of_its_application() -> None:
    application, person = ApplicationFactory.create(), UserFactory.create()

    row, text = give_address(application=application, by=person, at=NOW)

    assert home_of(text, NOW) == row
    assert home_behind(row) == application.home
    assert row.expires_at == NOW + APPLICATION_LASTS
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("give_address", person)
    assert application.home.name not in json.dumps(entry.after)


def test_an_address_opens_the_page_of_its_placement() -> None:
    placement = PlacementFactory.create()

    row, text = give_address(placement=placement, by=None, at=NOW)

    assert home_of(text, NOW) == row
    assert home_behind(row) == placement.home
    assert row.expires_at == NOW + PLACEMENT_LASTS


def test_the_secret_is_nowhere_on_record() -> None:
    _, text = give_address(application=ApplicationFactory.create(), by=None, at=NOW)
    secret = text.partition("_")[2]

    rows = [PrivateAddress.objects.values().get(), AuditEntry.objects.values().get()]
    assert secret not in json.dumps(rows, default=str)


def test_what_is_no_address_opens_nothing() -> None:
    _, text = give_address(application=ApplicationFactory.create(), by=None, at=NOW)
    prefix, secret = text.split("_", 1)

    wrong = ["", "_", prefix, f"{prefix}_", secret, text[:-1], f"{text}A", "\x00"]
    wrong += [f"00000000_{secret}", f"\x00_{secret}", f"{prefix}_\ud800", text.upper()]
    assert [open_address(text=w, at=NOW) for w in wrong] == [None] * len(wrong)
    assert PrivateAddress.objects.get().last_used_at is None


def test_its_time_ends() -> None:
    row, text = give_address(application=ApplicationFactory.create(), by=None, at=NOW)

    assert home_of(text, row.expires_at - MOMENT) == row
    assert home_of(text, row.expires_at) is None


def test_a_withdrawn_one_opens_nothing_and_stays_on_record() -> None:
    row, text = give_address(application=ApplicationFactory.create(), by=None, at=NOW)

    withdraw_address(address=row, by=None, at=NOW)

    assert home_of(text, NOW) is None
    assert PrivateAddress.objects.get().revoked_at == NOW
    with pytest.raises(PrivateAddressError, match="withdrawn already"):
        withdraw_address(address=row, by=None, at=NOW)


def test_a_new_one_ends_those_before_it_of_the_same_page_only() -> None:
    application = ApplicationFactory.create()
    placement = PlacementFactory.create(application=application, home=application.home)
    _, first = give_address(application=application, by=None, at=NOW)
    _, other = give_address(placement=placement, by=None, at=NOW)

    row, second = give_address(application=application, by=None, at=NOW)

    assert home_of(first, NOW) is None
    assert home_of(second, NOW) == row
    assert home_of(other, NOW) is not None


def test_the_use_is_noted_at_most_once_a_minute() -> None:
    row, text = give_address(application=ApplicationFactory.create(), by=None, at=NOW)

    for seconds in (0, 59, 61):
        opened = open_address(text=text, at=NOW + timedelta(seconds=seconds))
        assert opened == row

    row.refresh_from_db()
    assert row.last_used_at == NOW + timedelta(seconds=61)


def test_erased_homes_have_no_page() -> None:
    home = HomeFactory.create()
    application = ApplicationFactory.create(home=home)
    _, text = give_address(application=application, by=None, at=NOW)
    Home.objects.filter(pk=home.pk).update(erased_at=NOW, contact="")

    assert home_of(text, NOW) is None
    with pytest.raises(PrivateAddressError, match="erased"):
        give_address(application=application, by=None, at=NOW)


def test_an_address_belongs_to_one_thing_that_has_a_home() -> None:
    release = PlacementFactory.create(
        home=None, kind=PlacementKind.RELEASE.value, release_place="Mill brook"
    )

    with pytest.raises(PrivateAddressError, match="name one of them"):
        give_address(by=None, at=NOW)
    with pytest.raises(PrivateAddressError, match="name one of them"):
        give_address(
            application=ApplicationFactory.create(),
            placement=PlacementFactory.create(),
            by=None,
            at=NOW,
        )
    with pytest.raises(PrivateAddressError, match="no home to write to"):
        give_address(placement=release, by=None, at=NOW)
    with pytest.raises(ValueError, match="belongs to no home"):
        home_behind(PrivateAddress(placement=release))
