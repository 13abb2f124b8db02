"""The tokens of scripts: issued, looked at, revoked."""

from datetime import datetime

from django import forms
from django.contrib import admin, messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils import timezone

from core.admin.desks import person
from core.admin.issuing import LONGEST_DAYS, IssuingDesk, until
from core.admin.records import Given, RecordForm
from core.admin.steps import Step
from core.errors import DomainError
from core.models import ApiToken, User
from core.roles import Permission, TokenScope
from core.tokens import issue_token, revoke_token

SCOPES = [
    (TokenScope.READ.value, "read: sees what its person sees"),
    (TokenScope.RECORD.value, "record: reads, records, moves, acknowledges"),
    (TokenScope.MANAGE.value, "manage: all that its person may"),
]


class TokenForm(RecordForm[ApiToken]):
    """A token for a script. Its text is shown once, on the next page."""

    # A device's token has probes and is issued at their desk.
    scope = forms.ChoiceField(choices=SCOPES)
    days = forms.IntegerField(
        min_value=1,
        max_value=LONGEST_DAYS,
        required=False,
        help_text="How long it can be used; empty: until it is revoked.",
    )

    class Meta:
        model = ApiToken
        fields = ("user", "name")


def _revoke(row: ApiToken, _: Given, *, by: User, at: datetime) -> None:
    revoke_token(token=row, by=by, at=at)


REVOKE = Step(
    slug="revoke",
    title="Revoke",
    form=forms.Form,
    take=_revoke,
    fits=lambda row: row.revoked_at is None,
    done="is revoked.",
    caution="What uses it gets no further from now on. It stays on record.",
)


@admin.register(ApiToken)
class ApiTokenDesk(IssuingDesk[ApiToken]):
    sees = adds = changes = Permission.MANAGE_PEOPLE
    adding = TokenForm
    steps = (REVOKE,)
    offers = {"user": User.objects.filter(is_active=True)}
    actions = ("revoke",)
    list_display = (
        *("name", "prefix", "user", "scope"),
        *("created_at", "expires_at", "last_used_at", "revoked_at"),
    )
    list_select_related = ("user",)
    list_filter = ("scope",)
    search_fields = ("name", "prefix", "user__username")

    def told(self) -> list[str]:
        return [name for name in super().told() if name != "digest"]

    def issue(self, given: Given, *, by: User, at: datetime) -> tuple[ApiToken, str]:
        issued = issue_token(
            user=given["user"],
            name=given["name"],
            scope=TokenScope(given["scope"]),
            expires_at=until(given["days"], at=at),
            by=by,
            at=at,
        )
        return issued.token, issued.text

    @admin.action(description="Revoke: it is useless from now on")
    def revoke(self, request: HttpRequest, chosen: QuerySet[ApiToken]) -> None:
        for token in chosen:
            try:
                revoke_token(token=token, by=person(request), at=timezone.now())
            except DomainError as error:
                self.message_user(request, error.sentence, messages.ERROR)
