"""Sites and their rooms."""

from http import HTTPStatus
from typing import Annotated

import msgspec
from django.db.models import QuerySet
from django.utils import timezone
from msgspec import UNSET, Meta, UnsetType
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from api.care_structs import Small
from api.filters import CharFilter, FilterSet
from api.inputs import read_body, sent
from api.named import site_named
from api.structs import In, Out, Ref
from api.views import Rows
from core.actions import add_room, add_site
from core.models import Room, Site
from core.places import RoomChanges, change_room, change_site
from core.roles import Permission

MAY = {
    "list": Permission.SEE_ANIMALS,
    "retrieve": Permission.SEE_ANIMALS,
    "create": Permission.EDIT_PLACES,
    "change": Permission.EDIT_PLACES,
}
CODE = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=40,
        description="Letters, digits, hyphens and underscores; set once.",
    ),
]
NAME = Annotated[
    str, Meta(min_length=1, max_length=120, description="As people say it.")
]
POSITION = Annotated[Small, Meta(description="Order in which the rooms are walked.")]


class SiteFilter(FilterSet):
    """Which sites."""

    code = CharFilter(help_text="Its code.")

    class Meta:
        model = Site
        fields = ["code"]


class SiteNameIn(In, frozen=True, kw_only=True):
    """What a site is called; a place with another clock or sun is another site."""

    name: NAME


class SiteIn(SiteNameIn, frozen=True, kw_only=True):
    """A place with its own clock and its own sun."""

    code: CODE
    time_zone: Annotated[
        str, Meta(max_length=60, description="IANA name, for example Europe/Lisbon.")
    ]
    latitude_deg: Annotated[
        float, Meta(ge=-90, le=90, description="Degrees, north positive.")
    ]
    longitude_deg: Annotated[
        float, Meta(ge=-180, le=180, description="Degrees, east positive.")
    ]


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
    permissions = MAY
    filterset_class = SiteFilter
    takes = {"create": SiteIn, "change": SiteNameIn}
    gives = {"create": {HTTPStatus.CREATED: SiteOut}}
    out = SiteOut
    ordering = ("code", "id")
    searched = ("code", "name")
    orderable = ("id", "code", "name")

    def get_queryset(self) -> QuerySet[Site]:
        """Return all sites."""
        return Site.objects.all()

    def create(self, request: Request) -> Response:
        """Add a site; clock, place and code are set once, as nights are cut by them."""
        given = read_body(sent(request), SiteIn)
        values = msgspec.structs.asdict(given)
        row = add_site(**values, by=self.person, at=timezone.now())
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def change(self, request: Request, **kwargs: str) -> Response:
        """Call a site something else."""
        row, given = self.one(), read_body(sent(request), SiteNameIn)
        row = change_site(site=row, name=given.name, by=self.person, at=timezone.now())
        return Response(self.shown([row])[0])


class RoomFilter(FilterSet):
    """Which rooms."""

    code = CharFilter(help_text="Its code.")
    site = CharFilter("site__code", help_text="Code of the site.")

    class Meta:
        model = Room
        fields = ["code", "site"]


class RoomIn(In, frozen=True, kw_only=True):
    """A room of a site."""

    site: Annotated[str, Meta(description="Code of the site.")]
    code: CODE
    name: NAME
    position: POSITION = 0
    quarantine: Annotated[
        bool, Meta(description="true: animals there are kept apart, walked last.")
    ] = False


class RoomChangeIn(In, frozen=True, kw_only=True):
    """What of a room changes; what is left out stays."""

    name: NAME | UnsetType = UNSET
    position: POSITION | UnsetType = UNSET
    quarantine: Annotated[
        bool | UnsetType,
        Meta(description="true: animals there are kept apart, walked last."),
    ] = UNSET


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
    permissions = MAY
    filterset_class = RoomFilter
    takes = {"create": RoomIn, "change": RoomChangeIn}
    gives = {"create": {HTTPStatus.CREATED: RoomOut}}
    out = RoomOut
    ordering = ("position", "code", "id")
    searched = ("code", "name")
    orderable = ("id", "code", "name", "position")

    def get_queryset(self) -> QuerySet[Room]:
        """Return all rooms."""
        return Room.objects.select_related("site")

    def create(self, request: Request) -> Response:
        """Add a room to a site; 409 where the site has one of that code."""
        given = read_body(sent(request), RoomIn)
        row = add_room(
            site=site_named(given.site),
            code=given.code,
            name=given.name,
            position=given.position,
            quarantine=given.quarantine,
            by=self.person,
            at=timezone.now(),
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def change(self, request: Request, **kwargs: str) -> Response:
        """Change a room's name, its place in the walk, or that it is for quarantine."""
        row, given = self.one(), read_body(sent(request), RoomChangeIn)
        changes = _changes(given)
        change_room(room=row, by=self.person, at=timezone.now(), **changes)
        return Response(self.shown([self.one()])[0])


def _changes(given: RoomChangeIn) -> RoomChanges:
    changes = RoomChanges()
    if given.name is not UNSET:
        changes["name"] = given.name
    if given.position is not UNSET:
        changes["position"] = given.position
    if given.quarantine is not UNSET:
        changes["quarantine"] = given.quarantine
    return changes
