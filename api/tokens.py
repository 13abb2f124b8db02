"""Tokens of scripts: issued, looked at, revoked. The text of one is answered once."""

from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Annotated

from django.db.models import QuerySet
from django.utils import timezone
from msgspec import Meta
from rest_framework.decorators import action
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request
from rest_framework.response import Response

from api.errors import RefusedError
from api.filters import BooleanFilter, CharFilter, FilterSet, WordFilter
from api.inputs import read_body, sent
from api.permissions import SIGNED_IN
from api.structs import In, Instant, Out
from api.views import Rows
from core.models import ApiToken, User
from core.roles import Permission, TokenScope
from core.tokens import issue_token, revoke_token

TEXT = "The token itself: answered this once, and kept nowhere."
NO_STORE: Mapping[str, str] = {"Cache-Control": "no-store"}
PERSON = Annotated[
    str | None,
    Meta(
        description="For whom, by the name to sign in; you unless given. Others need "
        "`manage_people`."
    ),
]


class TokenFilter(FilterSet):
    """Which tokens."""

    person = CharFilter("user__username", help_text="Of whom, by the name to sign in.")
    scope = WordFilter(TokenScope)
    in_force = BooleanFilter(
        "revoked_at", "isnull", help_text="true: not revoked; it may have expired."
    )

    class Meta:
        model = ApiToken
        fields = ["person", "scope", "in_force"]


class TokenIn(In, frozen=True, kw_only=True):
    """A token to be issued."""

    name: Annotated[str, Meta(description="What uses it; up to 80 characters.")]
    scope: Annotated[
        TokenScope,
        Meta(description="How much it lets through; `ingest` is for `devices/`."),
    ] = TokenScope.READ
    expires_at: Annotated[
        Instant | None, Meta(description="Until when; null: until it is revoked.")
    ] = None
    person: PERSON = None


class TokenOut(Out, frozen=True):
    """A token that was issued; its secret part is kept nowhere."""

    about = ApiToken
    id: int
    name: str
    person: Annotated[str, Meta(description="For whom it acts.")]
    scope: TokenScope
    prefix: Annotated[str, Meta(description="By which its text can be recognised.")]
    created_at: Instant
    expires_at: Instant | None
    revoked_at: Instant | None
    last_used_at: Annotated[
        Instant | None, Meta(description="To the minute; null: not used yet.")
    ]


class IssuedTokenOut(Out, frozen=True):
    """A new token, with its text."""

    token: TokenOut
    text: Annotated[str, Meta(description=TEXT)]


class Tokens(Rows[ApiToken]):
    """Your own, the newest first; with `manage_people` everybody's."""

    plural = "tokens"
    permissions = {
        "list": SIGNED_IN,
        "retrieve": SIGNED_IN,
        "create": SIGNED_IN,
        "revoke": SIGNED_IN,
    }
    filterset_class = TokenFilter
    # For whoever describes this list: `get_queryset` needs somebody who asks.
    queryset = ApiToken.objects.none()
    takes = {"create": TokenIn}
    gives = {"create": {HTTPStatus.CREATED: IssuedTokenOut}}
    secret_answers = frozenset({"create"})
    out = TokenOut
    ordering = ("-created_at", "-id")
    searched = ("name", "prefix", "user__username")
    orderable = ("id", "name", "created_at")

    def get_queryset(self) -> QuerySet[ApiToken]:
        """Return the tokens that this person may see."""
        rows = ApiToken.objects.select_related("user")
        if self.person.may(Permission.MANAGE_PEOPLE):
            return rows
        return rows.filter(user=self.person)

    def shown(self, rows: Sequence[ApiToken]) -> list[TokenOut]:
        """Return tokens with whom they act for."""
        return [token_out(row) for row in rows]

    def create(self, request: Request) -> Response:
        """Issue a token for a script.

        Its text is answered this once. A token issues none that may do more or lasts
        longer than itself, and only with the scope `manage`.
        """
        given = read_body(sent(request), TokenIn)
        if given.scope is TokenScope.INGEST:
            raise RefusedError(
                "invalid_body",
                "A token with the scope ingest belongs to a device: post it to "
                "devices/ with its probes.",
                fields={"scope": "read, record, manage"},
            )
        issued = issue_token(
            user=named_person(given.person, by=self.person),
            name=given.name,
            scope=given.scope,
            expires_at=given.expires_at,
            by=self.person,
            at=timezone.now(),
        )
        answer = IssuedTokenOut(token=token_out(issued.token), text=issued.text)
        return Response(answer, status=HTTPStatus.CREATED, headers=dict(NO_STORE))

    @action(detail=True, methods=["post"])
    def revoke(self, request: Request, **kwargs: str) -> Response:
        """Make a token useless from now on; a second time: 409."""
        revoke_token(token=self.one(), by=self.person, at=timezone.now())
        return Response(self.shown([self.one()])[0])


def token_out(row: ApiToken) -> TokenOut:
    """Return a token as it is answered."""
    return TokenOut(
        id=row.pk,
        name=row.name,
        person=row.user.username,
        scope=TokenScope(row.scope),
        prefix=row.prefix,
        created_at=row.created_at,
        expires_at=row.expires_at,
        revoked_at=row.revoked_at,
        last_used_at=row.last_used_at,
    )


def named_person(username: str | None, *, by: User) -> User:
    """Return for whom a token is wanted.

    Args:
        username: the name to sign in; None: who asks.
        by: who asks.

    Raises:
        PermissionDenied: it is somebody else, and who asks does not manage people.
        RefusedError: nobody is called so.
    """
    if username is None or username == by.username:
        return by
    if not by.may(Permission.MANAGE_PEOPLE):
        raise PermissionDenied(
            f"A token for somebody else needs the permission "
            f"{Permission.MANAGE_PEOPLE}."
        )
    found = User.objects.filter(username=username, is_active=True).first()
    if found is None:
        raise RefusedError(
            "unknown_person",
            f"Nobody who may sign in is called {username!r}.",
            fields={"person": "the name to sign in of somebody active"},
        )
    return found
