"""A desk at which keys are issued: the text of a new one is shown once."""

from datetime import datetime, timedelta
from typing import Any, Generic, TypeVar

from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import reverse

from core.admin.records import Given
from core.admin.steps import SteppedDesk
from core.models import User

M = TypeVar("M", bound=Model)
LONGEST_DAYS = 3_650
_TEXT = "text_shown_once"


class IssuingDesk(SteppedDesk[M], Generic[M]):
    """Issues keys; none is changed afterwards but by a step.

    The text goes into the one answer to the form: no message carries it, no page
    shows it again.
    """

    def issue(self, given: Given, *, by: User, at: datetime) -> tuple[M, str]:
        """Issue a key by one action; return its row and its text.

        Raises:
            DomainError: it is refused.
        """
        raise NotImplementedError

    def add(self, given: Given, *, by: User, at: datetime) -> M:
        row, text = self.issue(given, by=by, at=at)
        setattr(row, _TEXT, text)
        return row

    def has_change_permission(self, request: HttpRequest, obj: M | None = None) -> bool:
        return False

    def save_model(self, request: HttpRequest, obj: M, form: Any, change: bool) -> None:  # noqa: FBT001 - Django's signature
        """Take over the row, and its text for the one answer."""
        super().save_model(request, obj, form, change)
        setattr(obj, _TEXT, getattr(form.kept, _TEXT))

    def response_add(
        self, request: HttpRequest, obj: M, post_url_continue: str | None = None
    ) -> HttpResponse:
        """Show the text; nothing after this answer does."""
        context = {
            **self.admin_site.each_context(request),
            "title": f"Issued: {obj}",
            "opts": self.model._meta,  # noqa: SLF001 - public API of Django
            "row": obj,
            "text": getattr(obj, _TEXT),
            "back": reverse(f"admin:{self._name('change')}", args=[obj.pk]),
        }
        return TemplateResponse(
            request,
            "admin/record/issued.html",
            context,
            headers={"Cache-Control": "no-store"},
        )


def until(days: int | None, *, at: datetime) -> datetime | None:
    """Return when a key ends that is good for some days from now; None: never."""
    return None if days is None else at + timedelta(days=days)
