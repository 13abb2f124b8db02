"""Sites and their rooms."""

from django.db.models import QuerySet

from api.filters import CharFilter, FilterSet
from api.structs import Out, Ref
from api.views import Rows
from core.models import Room, Site
from core.roles import Permission

SEE = {"list": Permission.SEE_ANIMALS, "retrieve": Permission.SEE_ANIMALS}


class SiteFilter(FilterSet):
    """Which sites."""

    code = CharFilter(help_text="Its code.")

    class Meta:
        model = Site
        fields = ["code"]


class SiteOut(Out, frozen=True):
    """A place with its own clock and its own sun."""

    about = Site
    id: int
    code: str
    name: str
    time_zone: str
    latitude_deg: float
    longitude_deg: float


class Sites(Rows[Site]):
    """Local days, and so nights, are by a site's time zone."""

    plural = "sites"
    permissions = SEE
    filterset_class = SiteFilter
    out = SiteOut
    ordering = ("code", "id")

    def get_queryset(self) -> QuerySet[Site]:
        """Return all sites."""
        return Site.objects.all()


class RoomFilter(FilterSet):
    """Which rooms."""

    code = CharFilter(help_text="Its code.")
    site = CharFilter("site__code", help_text="Code of the site.")

    class Meta:
        model = Room
        fields = ["code", "site"]


class RoomOut(Out, frozen=True):
    """A room of a site."""

    about = Room
    id: int
    code: str
    name: str
    site: Ref
    position: int
    quarantine: bool


class Rooms(Rows[Room]):
    """Enclosures stand in them in walking order."""

    plural = "rooms"
    permissions = SEE
    filterset_class = RoomFilter
    out = RoomOut
    ordering = ("position", "code", "id")

    def get_queryset(self) -> QuerySet[Room]:
        """Return all rooms."""
        return Room.objects.select_related("site")
