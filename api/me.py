"""Who is signed in, and what the role lets them do."""

from typing import Annotated

from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.permissions import SIGNED_IN
from api.structs import Out
from api.views import Door
from core.models import User
from core.roles import GRANTS, Permission, Role
from core.units import MassUnit, TemperatureUnit


class MeOut(Out, frozen=True):
    """The person that a session or a token speaks for."""

    about = User
    id: int
    username: str
    name: str
    role: Role
    permissions: list[Permission]
    temperature_unit: Annotated[
        TemperatureUnit, Meta(description="Of sentences; values are always °C.")
    ]
    mass_unit: Annotated[
        MassUnit, Meta(description="Of sentences; values are always grams.")
    ]


class Me(Door):
    """Who is signed in."""

    permissions = {"retrieve": SIGNED_IN}
    gives = {"retrieve": MeOut}

    def retrieve(self, request: Request) -> Response:
        """Show who is signed in, with role and permissions."""
        person, role = self.person, Role(self.person.role)
        return Response(
            MeOut(
                id=person.pk,
                username=person.username,
                name=str(person),
                role=role,
                permissions=sorted(GRANTS[role]),
                temperature_unit=TemperatureUnit(person.temperature_unit),
                mass_unit=MassUnit(person.mass_unit),
            )
        )
