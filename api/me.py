"""Who is signed in, and what role and token let them do."""

from typing import Annotated

from django.utils import timezone
from msgspec import UNSET, Meta, UnsetType
from rest_framework.request import Request
from rest_framework.response import Response

from api.inputs import read_body, sent
from api.permissions import SIGNED_IN
from api.structs import In, Out
from api.views import Door
from core.models import User
from core.people import change_person
from core.roles import Permission, Role, TokenScope
from core.units import MassUnit, TemperatureUnit


class MeOut(Out, frozen=True):
    """The person that a session or a token speaks for."""

    about = User
    id: int
    username: str
    name: str
    role: Role
    scope: Annotated[
        TokenScope | None, Meta(description="Of the token; null: a browser's session.")
    ]
    permissions: Annotated[
        list[Permission],
        Meta(description="What the role holds and the token's scope lets through."),
    ]
    temperature_unit: Annotated[
        TemperatureUnit, Meta(description="Of sentences; values are always °C.")
    ]
    mass_unit: Annotated[
        MassUnit, Meta(description="Of sentences; values are always grams.")
    ]


class UnitsIn(In, frozen=True, kw_only=True):
    """In which units pages and sentences speak to you; what is left out stays."""

    temperature_unit: TemperatureUnit | UnsetType = UNSET
    mass_unit: MassUnit | UnsetType = UNSET


class Me(Door):
    """Who is signed in."""

    permissions = {"retrieve": SIGNED_IN, "units": SIGNED_IN}
    takes = {"units": UnitsIn}
    gives = {"retrieve": MeOut, "units": MeOut}

    def retrieve(self, request: Request) -> Response:
        """Show who is signed in, with role, scope and permissions."""
        return Response(_shown(self.person))

    def units(self, request: Request) -> Response:
        """Choose your own units; what is stored and answered stays °C and grams."""
        given = read_body(sent(request), UnitsIn)
        changes = {
            name: unit.value
            for name in UnitsIn.__struct_fields__
            if (unit := getattr(given, name)) is not UNSET
        }
        person = self.person
        change_person(person=person, changes=changes, by=person, at=timezone.now())
        person.refresh_from_db()
        return Response(_shown(person))


def _shown(person: User) -> MeOut:
    return MeOut(
        id=person.pk,
        username=person.username,
        name=str(person),
        role=Role(person.role),
        scope=TokenScope(person.token.scope) if person.token else None,
        permissions=sorted(person.permissions),
        temperature_unit=TemperatureUnit(person.temperature_unit),
        mass_unit=MassUnit(person.mass_unit),
    )
