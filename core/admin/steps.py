"""What else can be done about a row: a form of its own for each action."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.template.response import TemplateResponse
from django.urls import URLPattern, path, reverse
from django.utils import timezone

from core.admin.desks import person, refusals
from core.admin.records import RecordDesk
from core.errors import DomainError
from core.roles import Permission

M = TypeVar("M", bound=Model)
Way = tuple[str, str]
"""What a link says, and where it leads."""


@dataclass(frozen=True, slots=True)
class Step:
    """Something that can be done about a row beside mending it.

    Attributes:
        slug: its part of the address.
        title: what it does, on the link and on the button.
        form: what is asked.
        take: the action, with the row, what was given, `by` and `at`.
        fits: whether it is offered for a row; whether it can be done is the
            action's to say.
        done: the end of the sentence that begins with the row.
        caution: what to mind, above the form.
        asks: the permission that it takes; None: whoever may change the row.
    """

    slug: str
    title: str
    form: type[forms.Form]
    take: Callable[..., object]
    fits: Callable[[Any], bool]
    done: str
    caution: str
    asks: Permission | None = None


class SteppedDesk(RecordDesk[M], Generic[M]):
    """A desk whose rows know more than one change; each is a page of its own.

    Whoever may change a row may take its steps, unless a step asks for more.
    """

    steps: ClassVar[tuple[Step, ...]]
    change_form_template = "admin/record/change_form.html"

    def get_urls(self) -> list[URLPattern]:
        own = [
            path(
                f"<int:pk>/{step.slug}/",
                self.admin_site.admin_view(partial(self.step_page, step=step)),
                name=self._name(step.slug),
            )
            for step in self.steps
        ]
        return [*own, *super().get_urls()]

    def ways(self, row: M) -> list[Way]:
        """Return what can be done about a row, for who may change it."""
        return [
            (step.title, reverse(f"admin:{self._name(step.slug)}", args=[row.pk]))
            for step in self.steps
            if step.fits(row)
        ]

    def step_page(self, request: HttpRequest, pk: int, step: Step) -> HttpResponse:
        """Ask what a step needs and take it; a refusal stands above the form."""
        if not self._may_take(request, step):
            raise PermissionDenied
        row = get_object_or_404(self.model, pk=pk)
        form = step.form(request.POST or None)
        if request.method == "POST" and form.is_valid():
            try:
                step.take(row, form.cleaned_data, by=person(request), at=timezone.now())
            except DomainError as error:
                form.add_error(None, ValidationError(refusals(error)))
            else:
                return self.after_step(request, row, step)
        context = {
            **self.admin_site.each_context(request),
            "title": f"{step.title}: {row}",
            "opts": self.model._meta,  # noqa: SLF001 - public API of Django
            "form": form,
            "step": step,
            "row": row,
            "back": reverse(f"admin:{self._name('change')}", args=[row.pk]),
        }
        return TemplateResponse(request, "admin/record/step.html", context)

    def after_step(self, request: HttpRequest, row: M, step: Step) -> HttpResponse:
        """Say that a step was taken, and show the row."""
        self.message_user(request, f"{row} {step.done}", messages.SUCCESS)
        return redirect(f"admin:{self._name('change')}", row.pk)

    def render_change_form(
        self,
        request: HttpRequest,
        context: dict[str, Any],
        add: bool = False,  # noqa: FBT001, FBT002 - Django's signature
        change: bool = False,  # noqa: FBT001, FBT002 - Django's signature
        form_url: str = "",
        obj: M | None = None,
    ) -> HttpResponse:
        """Offer the steps of a row beside its history."""
        if obj is not None and self._may(request, self.changes):
            closed = {s.title for s in self.steps if not self._may_take(request, s)}
            context["ways"] = [way for way in self.ways(obj) if way[0] not in closed]
        return super().render_change_form(request, context, add, change, form_url, obj)

    def _may_take(self, request: HttpRequest, step: Step) -> bool:
        return self._may(request, step.asks or self.changes)

    def _name(self, page: str) -> str:
        meta = self.model._meta  # noqa: SLF001 - public API of Django
        return f"{meta.app_label}_{meta.model_name}_{page}"
