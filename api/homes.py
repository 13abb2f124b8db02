"""Homes: personal data, for those who place animals only."""

from django.db.models import QuerySet

from api.structs import Out, Paged
from api.views import Rows
from core.roles import Permission
from placements.models import Home


class HomeOut(Out, frozen=True):
    """A household or organisation that an animal goes to."""

    about = Home
    id: int
    name: str
    contact: str
    notes: str


class Homes(Rows[Home]):
    """Personal data: names and addresses are nowhere else in this API."""

    plural = "homes"
    permissions = {"list": Permission.SEE_HOMES, "retrieve": Permission.SEE_HOMES}
    asks = {"list": Paged}
    out = HomeOut

    def rows(self) -> QuerySet[Home]:
        """Return all homes."""
        return Home.objects.all()
