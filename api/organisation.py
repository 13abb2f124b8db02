"""The organisation: whose installation this is."""

from typing import Annotated

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Text
from api.inputs import read_body, sent
from api.structs import In, Out
from api.views import Door
from core.actions import name_organisation
from core.errors import NotFoundError
from core.models import Organisation as Row
from core.roles import Permission


class OrganisationIn(In, frozen=True, kw_only=True):
    """Whose installation this is."""

    name: Annotated[
        str, Meta(min_length=1, max_length=120, description="As printed on papers.")
    ]
    contact: Annotated[
        Text,
        Meta(description="Address, telephone, e-mail: printed on every packet."),
    ] = ""


class OrganisationOut(Out, frozen=True):
    """Whose installation this is."""

    about = Row
    name: str
    contact: str


class Organisation(Door):
    """Whose installation this is."""

    permissions = {"retrieve": Permission.SEE_ANIMALS, "create": Permission.EDIT_PLACES}
    takes = {"create": OrganisationIn}
    gives = {"retrieve": OrganisationOut, "create": OrganisationOut}

    def retrieve(self, request: Request) -> Response:
        """Show whose installation this is; 404 while nobody has said so."""
        row = Row.objects.filter(pk=1).first()
        if row is None:
            raise NotFoundError(
                "Nobody has said yet whose installation this is; POST its name here."
            )
        return Response(OrganisationOut(name=row.name, contact=row.contact))

    def create(self, request: Request) -> Response:
        """Say whose installation this is; a second time, say it anew."""
        given = read_body(sent(request), OrganisationIn)
        row = name_organisation(
            name=given.name, contact=given.contact, by=self.person, at=timezone.now()
        )
        return Response(OrganisationOut(name=row.name, contact=row.contact))
