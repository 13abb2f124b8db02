"""People who sign in: registered, changed, given a new password.

A token that leaks must open nothing that outlasts it. So who asks by a token makes
nobody an owner, and changes no owner, themselves included: those who manage people
are managed by somebody who signed in with a password, in the back office.
"""

from http import HTTPStatus
from typing import Annotated

import msgspec
from django.db.models import QuerySet
from django.utils import timezone
from msgspec import UNSET, Meta, UnsetType
from rest_framework.decorators import action
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response

from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.structs import In, Instant, Out
from api.views import Rows
from core.actions import register_user
from core.models import User
from core.people import change_person, set_password
from core.roles import GRANTS, Permission, Role
from core.units import MassUnit, TemperatureUnit

PASSWORD = Annotated[
    str,
    Meta(
        min_length=1,
        max_length=200,
        description="At least 8 signs, not only digits, not a common one; never "
        "answered, only its hash is kept.",
    ),
]
NAME = Annotated[str, Meta(max_length=150)]
EMAIL = Annotated[str, Meta(max_length=254)]


class PersonFilter(FilterSet):
    """Which people."""

    username = CharFilter(help_text="Name by which the person signs in.")
    role = WordFilter(Role)
    is_active = BooleanFilter(help_text="true: may sign in.")

    class Meta:
        model = User
        fields = ["username", "role", "is_active"]


class PersonIn(In, frozen=True, kw_only=True):
    """A person who can sign in."""

    username: Annotated[
        str,
        Meta(
            min_length=1,
            max_length=150,
            description="Letters, digits and @ . + - _ only; set once.",
        ),
    ]
    role: Role
    password: PASSWORD
    first_name: NAME = ""
    last_name: NAME = ""
    email: EMAIL = ""


class PersonChangeIn(In, frozen=True, kw_only=True):
    """What of a person changes; what is left out stays."""

    first_name: NAME | UnsetType = UNSET
    last_name: NAME | UnsetType = UNSET
    email: EMAIL | UnsetType = UNSET
    role: Role | UnsetType = UNSET
    is_active: Annotated[
        bool | UnsetType, Meta(description="false: signs in no more, nor do tokens.")
    ] = UNSET
    temperature_unit: TemperatureUnit | UnsetType = UNSET
    mass_unit: MassUnit | UnsetType = UNSET


class PasswordIn(In, frozen=True, kw_only=True):
    """A new password."""

    password: PASSWORD


class PersonOut(Out, frozen=True):
    """A person who signs in, or on whose behalf a script does."""

    about = User
    id: int
    username: str
    first_name: str
    last_name: str
    email: str
    role: Role
    is_active: bool
    temperature_unit: TemperatureUnit
    mass_unit: MassUnit
    last_login: Annotated[
        Instant | None, Meta(description="With a password; null: never yet.")
    ]
    date_joined: Instant


class People(Rows[User]):
    """By their names; those who left too, as their deeds stay on record."""

    plural = "people"
    permissions = {
        "list": Permission.MANAGE_PEOPLE,
        "retrieve": Permission.MANAGE_PEOPLE,
        "create": Permission.MANAGE_PEOPLE,
        "change": Permission.MANAGE_PEOPLE,
        "password": Permission.MANAGE_PEOPLE,
    }
    filterset_class = PersonFilter
    takes = {"create": PersonIn, "change": PersonChangeIn, "password": PasswordIn}
    gives = {"create": {HTTPStatus.CREATED: PersonOut}}
    out = PersonOut
    ordering = ("username", "id")
    searched = ("username", "first_name", "last_name")
    orderable = ("id", "username")

    def get_queryset(self) -> QuerySet[User]:
        """Return all people."""
        return User.objects.all()

    def create(self, request: Request) -> Response:
        """Register a person who can sign in; by a token, nobody who manages people."""
        given = read_body(sent(request), PersonIn)
        self._check_role(given.role)
        row = register_user(
            **msgspec.structs.asdict(given), by=self.person, at=timezone.now()
        )
        return Response(self.shown([row])[0], status=HTTPStatus.CREATED)

    @action(detail=True, methods=["post"])
    def change(self, request: Request, **kwargs: str) -> Response:
        """Change names, role, units, or whether a person may sign in.

        By a token, nobody who manages people, and nobody is made one who does. The
        last owner stays one.
        """
        row, given = self.one(), read_body(sent(request), PersonChangeIn)
        self._check_role(Role(row.role))
        if given.role is not UNSET:
            self._check_role(given.role)
        changes = {
            name: str(value) if name == "role" or name.endswith("_unit") else value
            for name, value in msgspec.structs.asdict(given).items()
            if value is not UNSET
        }
        row = change_person(
            person=row, changes=changes, by=self.person, at=timezone.now()
        )
        return Response(self.shown([row])[0])

    @action(detail=True, methods=["post"])
    def password(self, request: Request, **kwargs: str) -> Response:
        """Give a person a new password; their sessions end, their tokens go on.

        By a token, not for oneself nor for others who manage people: a token that
        leaks must not become a way to sign in. Nothing of the password is answered.
        """
        row, given = self.one(), read_body(sent(request), PasswordIn)
        self._check_role(Role(row.role))
        set_password(
            person=row, password=given.password, by=self.person, at=timezone.now()
        )
        return Response(self.shown([row])[0])

    def _check_role(self, role: Role) -> None:
        """Refuse to touch, by a token, what manages people.

        Raises:
            PermissionDenied: with where it can be done.
        """
        by_token = self.request.auth is not None
        if by_token and Permission.MANAGE_PEOPLE in GRANTS[role]:
            raise PermissionDenied(
                f"A token does this for no {role.value}: whoever is one manages "
                "people. Sign in with your password and use the back office."
            )
