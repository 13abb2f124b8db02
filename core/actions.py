"""What we do in every room's ground: the organisation, people, sites and rooms."""

from datetime import datetime

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from core import audit
from core.constraints import promised
from core.errors import DomainError
from core.models import Organisation, Room, Site, User
from core.roles import Role


class PlaceError(DomainError):
    """A site or a room cannot be as asked."""

    code = "place_refused"


class PersonError(DomainError):
    """A person cannot be registered as asked."""

    code = "person_refused"


@transaction.atomic
def name_organisation(
    *, name: str, contact: str, by: User | None, at: datetime
) -> Organisation:
    """Say whose installation this is; a second time, say it anew.

    Args:
        name: as printed on papers.
        contact: address, telephone, e-mail; may be empty.
        by: the person; None at set-up.
        at: now.

    Raises:
        PlaceError: the name is blank.
    """
    if not name.strip():
        raise PlaceError(
            "An organisation needs a name; papers carry it.",
            fields={"name": "not blank"},
        )
    before = Organisation.objects.filter(pk=1).first()
    row, _ = Organisation.objects.update_or_create(
        pk=1, defaults={"name": name.strip(), "contact": contact.strip()}
    )
    audit.record(
        row,
        verb="name_organisation",
        by=by,
        at=at,
        before=audit.values(before, "name", "contact") if before else {},
        after=audit.values(row, "name", "contact"),
    )
    return row


@transaction.atomic
def register_user(
    *,
    username: str,
    role: Role,
    password: str,
    by: User | None,
    at: datetime,
    first_name: str = "",
    last_name: str = "",
    email: str = "",
) -> User:
    """Register a person who can sign in.

    Args:
        username: unique; letters, digits and @ . + - _ only.
        role: what the person may do.
        password: held to the rules of the settings; only its hash is kept, and it
            is in no audit entry.
        by: who registers; None at set-up.
        at: now.
        first_name: may be empty.
        last_name: may be empty.
        email: may be empty.

    Raises:
        PersonError: the name is taken or has other characters, or the password is
            too weak; the sentence says what is missing.
    """
    person = User(
        username=username.strip(),
        role=role.value,
        first_name=first_name,
        last_name=last_name,
        email=email,
    )
    _check_password(password, person)
    person.set_password(password)
    check_fields(person)
    taken = PersonError(
        f"The name {person.username!r} is taken; choose another.",
        fields={"username": "one that nobody has"},
    )
    with promised({"core_user_username": taken, "core_user.username": taken}):
        person.save()
    after = audit.values(person, "username", "role", "first_name", "last_name")
    audit.record(person, verb="register_user", by=by, at=at, after=after)
    return person


def _check_password(password: str, person: User) -> None:
    try:
        validate_password(password, person)
    except ValidationError as error:
        raise PersonError(
            f"This password cannot be used: {' '.join(error.messages)}",
            fields={"password": " ".join(error.messages)},
        ) from error


def check_fields(row: User | Site | Room) -> None:
    """Hold the fields' own validators; what is unique is the database's matter."""
    try:
        row.clean_fields()
    except ValidationError as error:
        problems = {
            name: " ".join(messages) for name, messages in error.message_dict.items()
        }
        refusal = PersonError if isinstance(row, User) else PlaceError
        told = " ".join(f"{name}: {text}" for name, text in problems.items())
        raise refusal(told, fields=problems) from error


@transaction.atomic
def add_site(
    *,
    code: str,
    name: str,
    time_zone: str,
    latitude_deg: float,
    longitude_deg: float,
    by: User | None,
    at: datetime,
) -> Site:
    """Add a place with its own clock and its own sun.

    Args:
        code: short, letters, digits, hyphens and underscores; unique.
        name: as people say it.
        time_zone: IANA name, for example Europe/Lisbon.
        latitude_deg: north positive.
        longitude_deg: east positive.
        by: the person; None at set-up.
        at: now.

    Raises:
        PlaceError: the code is taken, the zone is unknown, or the place is not on
            Earth.
    """
    site = Site(
        code=code.strip(),
        name=name.strip(),
        time_zone=time_zone,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
    )
    check_fields(site)
    taken = PlaceError(
        f"There is a site {site.code} already; choose another code.",
        fields={"code": "one that no site has"},
    )
    with promised({"core_site_code": taken, "core_site.code": taken}):
        site.save()
    after = audit.values(
        site, "code", "name", "time_zone", "latitude_deg", "longitude_deg"
    )
    audit.record(site, verb="add_site", by=by, at=at, after=after)
    return site


@transaction.atomic
def add_room(
    *,
    site: Site,
    code: str,
    name: str,
    by: User | None,
    at: datetime,
    position: int = 0,
    quarantine: bool = False,
) -> Room:
    """Add a room to a site.

    Args:
        site: where.
        code: short; once a site.
        name: as people say it.
        by: the person; None at set-up.
        at: now.
        position: order in which the rooms are walked.
        quarantine: animals here are kept apart; it is walked last.

    Raises:
        PlaceError: the site has a room of that code, or the code has other
            characters than letters, digits, hyphens and underscores.
    """
    room = Room(
        site=site,
        code=code.strip(),
        name=name.strip(),
        position=position,
        quarantine=quarantine,
    )
    check_fields(room)
    taken = PlaceError(
        f"{site.name} has a room {room.code} already; choose another code.",
        fields={"code": "one that no room of the site has"},
    )
    with promised({"core_room_code_once_per_site": taken, "core_room.site_id": taken}):
        room.save()
    after = audit.values(room, "site", "code", "name", "position", "quarantine")
    audit.record(room, verb="add_room", by=by, at=at, after=after)
    return room
