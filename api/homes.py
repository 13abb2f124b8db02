"""Homes: personal data, for those who place animals only."""

from django.db.models import QuerySet

from api.filters import CharFilter, FilterSet
from api.structs import Out
from api.views import Rows
from core.roles import Permission
from placements.models import Home, Placement


class HomeFilter(FilterSet):
    """Which homes; not by name, since addresses are written into logs."""

    animal = CharFilter(
        method="placed",
        help_text="Code of an animal that is, was or will be placed there.",
    )

    class Meta:
        model = Home
        fields = ["animal"]

    def placed(self, rows: QuerySet[Home], name: str, value: str) -> QuerySet[Home]:
        """Return the homes of an animal's placements, each once."""
        placed = Placement.objects.filter(animal__code=value)
        return rows.filter(pk__in=placed.values("home"))


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
    filterset_class = HomeFilter
    out = HomeOut

    def get_queryset(self) -> QuerySet[Home]:
        """Return all homes."""
        return Home.objects.all()
