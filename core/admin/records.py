"""Desks of recorded rows: added by one form and one action, at most ended by another."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, ClassVar, Generic, TypeVar
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import Model, QuerySet
from django.forms.models import construct_instance
from django.http import HttpRequest
from django.utils import timezone

from core.admin.desks import WritingDesk, person
from core.models import User
from core.zones import instant

M = TypeVar("M", bound=Model)
Given = dict[str, Any]


class RecordForm(forms.ModelForm[M], Generic[M]):
    """What is typed about one row: each field is checked, and no more.

    Whether they fit together is the action's to say: Django would only name the
    constraint that is broken.
    """

    def _post_clean(self) -> None:
        self.instance = construct_instance(
            self, self.instance, self._meta.fields, self._meta.exclude
        )
        fields = self.instance._meta.fields  # noqa: SLF001 - public API of Django
        others = {f.name for f in fields if f.name not in self.cleaned_data}
        try:
            self.instance.clean_fields(exclude=others)
        except ValidationError as error:
            self.add_error(None, error)


class DayField(forms.DateField):
    """A day, picked as the browser lets one pick a day."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class LocalTimeField(forms.SplitDateTimeField):
    """A day and a time as a clock on the wall shows them; see `at_zone`."""

    widget = forms.SplitDateTimeWidget(
        date_format="%Y-%m-%d",
        time_format="%H:%M",
        date_attrs={"type": "date", "aria-label": "Day"},
        time_attrs={"type": "time", "aria-label": "Time"},
    )

    def compress(self, data_list: Any) -> datetime | None:
        """Return them without a zone: which one is known from the other fields."""
        # By UTC every local time exists once; which instant it is, `at_zone` says.
        with timezone.override(UTC):
            found = super().compress(data_list)
            return timezone.make_naive(found) if found else None


def at_zone(shown: datetime, zone: ZoneInfo) -> datetime:
    """Return the instant at which a clock in a zone shows a day and a time.

    Args:
        shown: without a zone; twice a year ambiguous, see `core.zones.instant`.
        zone: of the clock.
    """
    return datetime.fromtimestamp(instant(shown.date(), shown.time(), zone=zone), UTC)


class RecordDesk(WritingDesk[M], Generic[M]):
    """A desk at which rows are recorded; what is on record is shown, not typed over.

    `add` is the action behind `adding`. Where a row can be ended or mended,
    `changing` is the form for it and `change` the action.
    """

    adding: ClassVar[type[forms.ModelForm[Any]]]
    changing: ClassVar[type[forms.ModelForm[Any]] | None] = None
    offers: ClassVar[Mapping[str, QuerySet[Any]]] = {}
    """What a list of the form offers, by field; a field not named offers all."""

    def add(self, given: Given, *, by: User, at: datetime) -> M:
        """Record a row by one action.

        Raises:
            DomainError: it is refused.
        """
        raise NotImplementedError

    def change(self, row: M, given: Given, *, by: User, at: datetime) -> M:
        """End or mend a row by one action; without one, nobody may."""
        raise PermissionDenied

    def is_open(self, row: M) -> bool:
        """Say whether a row can still be ended or mended."""
        return True

    def has_change_permission(self, request: HttpRequest, obj: M | None = None) -> bool:
        is_open = obj is None or self.is_open(obj)
        return is_open and super().has_change_permission(request, obj)

    def formfield_for_foreignkey(
        self, db_field: Any, request: HttpRequest, **kwargs: Any
    ) -> Any:
        if db_field.name in self.offers:
            kwargs["queryset"] = self.offers[db_field.name]
        return super().formfield_for_foreignkey(db_field, request, **kwargs)

    def get_fields(self, request: HttpRequest, obj: M | None = None) -> Any:
        if obj is None:
            return _fields_of(self.adding)
        told = self.told()
        if self.changing is None or not self.has_change_permission(request, obj):
            return told
        return [*told, *(f for f in _fields_of(self.changing) if f not in told)]

    def get_readonly_fields(
        self, request: HttpRequest, obj: M | None = None
    ) -> tuple[str, ...]:
        if obj is None:
            return ()
        mended = _fields_of(self.changing) if self.changing else []
        return tuple(name for name in self.told() if name not in mended)

    def told(self) -> list[str]:
        """Return what is shown of a row on record."""
        fields = self.model._meta.concrete_fields  # noqa: SLF001 - public API of Django
        return [field.name for field in fields if not field.primary_key]

    def form_for(self, obj: M | None) -> type[forms.ModelForm[M]] | None:
        return self.adding if obj is None else self.changing

    def keep(self, request: HttpRequest, row: M, form: Any) -> M:
        by, at = person(request), timezone.now()
        if row.pk:
            return self.change(row, form.cleaned_data, by=by, at=at)
        return self.add(form.cleaned_data, by=by, at=at)


def _fields_of(form: type[forms.ModelForm[Any]]) -> list[str]:
    return list(form.base_fields)
