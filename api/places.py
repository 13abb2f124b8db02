"""Sites and their rooms."""

from django.db.models import QuerySet

from api.structs import Out, Paged, Ref
from api.views import Rows
from core.models import Room, Site
from core.roles import Permission

SEE = {"list": Permission.SEE_ANIMALS, "retrieve": Permission.SEE_ANIMALS}


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
    asks = {"list": Paged}
    out = SiteOut
    ordering = ("code", "id")

    def rows(self) -> QuerySet[Site]:
        """Return all sites."""
        return Site.objects.all()


class RoomAsked(Paged, frozen=True):
    """Which rooms."""

    lookups = {"site": "site__code"}
    site: str | None = None


class RoomOut(Out, frozen=True):
    """A room of a site."""

    about = Room
    id: int
    code: str
    name: str
    site: Ref
    position: int


class Rooms(Rows[Room]):
    """Enclosures stand in them in walking order."""

    plural = "rooms"
    permissions = SEE
    asks = {"list": RoomAsked}
    out = RoomOut
    ordering = ("position", "code", "id")

    def rows(self) -> QuerySet[Room]:
        """Return all rooms."""
        return Room.objects.select_related("site")
