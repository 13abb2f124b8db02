"""The desks that every room's back office is built on.

A desk shows what is recorded and lets nobody write: people write through actions.
One that may write says so by the permission it names, and overrides `keep` with one
action.
"""

from typing import Any, ClassVar, Generic, TypeVar

from django import forms
from django.contrib import admin
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Model
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from core.admin.histories import history_of
from core.errors import DomainError
from core.models import User
from core.reference import keep_reference
from core.roles import Permission

M = TypeVar("M", bound=Model)


def person(request: HttpRequest) -> User:
    """Return who is signed in; the site lets nobody else in."""
    if not request.user.is_authenticated:
        raise PermissionDenied
    return request.user


class Desk(admin.ModelAdmin[M], Generic[M]):
    """Shows what is recorded; nobody adds, changes or deletes."""

    sees: ClassVar[Permission]
    actions: Any = None
    list_per_page = 50
    show_full_result_count = False
    view_on_site = False

    def _may(self, request: HttpRequest, permission: Permission | None) -> bool:
        user = request.user
        return permission is not None and user.is_authenticated and user.may(permission)

    def has_module_permission(self, request: HttpRequest) -> bool:
        return self._may(request, self.sees)

    def has_view_permission(self, request: HttpRequest, obj: M | None = None) -> bool:
        return self._may(request, self.sees)

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: M | None = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: M | None = None) -> bool:
        return False

    def log_addition(self, request: HttpRequest, obj: M, message: Any) -> Any:
        """Write nothing; see `core.admin.histories`."""

    def log_change(self, request: HttpRequest, obj: M, message: Any) -> Any:
        """Write nothing; see `core.admin.histories`."""

    def history_view(
        self,
        request: HttpRequest,
        object_id: str,
        extra_context: dict[str, Any] | None = None,
    ) -> HttpResponse:
        """Show what the audit trail has of a row."""
        own = {
            "action_list": history_of(self.model, object_id),
            "pagination_required": False,
        }
        return super().history_view(
            request, object_id, {**(extra_context or {}), **own}
        )


class WritingDesk(Desk[M], Generic[M]):
    """A desk at which those with a permission write, each time through one action.

    `keep` does it; what it refuses is shown beside the form, and what was typed
    stays. Subclasses say in `adds` and `changes` who may.
    """

    adds: ClassVar[Permission | None] = None
    changes: ClassVar[Permission | None] = None
    fixed: ClassVar[tuple[str, ...]] = ()
    """Fields that are set once; something was judged by them since."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return self._may(request, self.adds)

    def has_change_permission(self, request: HttpRequest, obj: M | None = None) -> bool:
        return self._may(request, self.changes)

    def get_readonly_fields(
        self, request: HttpRequest, obj: M | None = None
    ) -> tuple[str, ...]:
        return self.fixed if obj is not None else ()

    def keep(self, request: HttpRequest, row: M, form: Any) -> M:
        """Store what the form says by one action.

        Raises:
            DomainError: it is refused.
        """
        keep_reference(
            row=row,
            changed=form.changed_data,
            by=person(request),
            at=timezone.now(),
        )
        return row

    def form_for(self, obj: M | None) -> type[forms.ModelForm[M]] | None:
        """Return the form to add (None) or to change a row; None: Django makes one."""
        return None

    def get_form(
        self,
        request: HttpRequest,
        obj: M | None = None,
        change: bool = False,  # noqa: FBT001, FBT002 - Django's signature
        **kwargs: Any,
    ) -> type[Any]:
        """Return the form; checking it is trying it, so that a refusal is an error."""
        if own := self.form_for(obj):
            kwargs["form"] = own
        made = super().get_form(request, obj, change, **kwargs)
        desk = self

        class Tried(made):  # type: ignore[misc,valid-type] # a class made at run time
            kept: M | None = None

            def _post_clean(self) -> None:
                super()._post_clean()
                # Lists that are edited in place make forms without a save.
                if not self.errors and request.method == "POST":
                    try:
                        self.kept = desk.keep(request, self.instance, self)
                    except DomainError as error:
                        self.add_error(None, ValidationError(refusals(error)))

        return Tried

    def save_model(self, request: HttpRequest, obj: M, form: Any, change: bool) -> None:  # noqa: FBT001 - Django's signature
        """Take over what the action stored while the form was checked."""
        obj.pk = form.kept.pk
        obj.refresh_from_db()


def refusals(error: DomainError) -> list[str]:
    """Return what is refused, a sentence or line each."""
    return error.sentence.splitlines()
