"""Who is signed in, and what role and token let them do."""

from typing import Annotated

from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.permissions import SIGNED_IN
from api.structs import Out
from api.views import Door
from core.models import User
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


class Me(Door):
    """Who is signed in."""

    permissions = {"retrieve": SIGNED_IN}
    gives = {"retrieve": MeOut}

    def retrieve(self, request: Request) -> Response:
        """Show who is signed in, with role, scope and permissions."""
        person = self.person
        return Response(
            MeOut(
                id=person.pk,
                username=person.username,
                name=str(person),
                role=Role(person.role),
                scope=TokenScope(person.token.scope) if person.token else None,
                permissions=sorted(person.permissions),
                temperature_unit=TemperatureUnit(person.temperature_unit),
                mass_unit=MassUnit(person.mass_unit),
            )
        )
