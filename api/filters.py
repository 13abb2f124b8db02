"""How lists are narrowed: django-filter, read strictly (ADR 0008).

The library takes a flag that it cannot read, and whatever is empty, for not given,
and then a list answers with everything. Here that is refused.
"""

import inspect
from enum import StrEnum
from typing import Any

from django import forms
from django.db import models
from django.http import HttpRequest
from django.utils.dateparse import parse_datetime
from django_filters import rest_framework as library
from django_filters.constants import EMPTY_VALUES
from django_filters.fields import IsoDateTimeField
from drf_spectacular.drainage import set_override
from rest_framework.exceptions import PermissionDenied
from rest_framework.views import APIView

from api.inputs import check_day, unreadable
from core.choices import choices
from core.models import User
from core.roles import Permission

LARGEST_KEY = 2**63 - 1

BooleanFilter = library.BooleanFilter


class CharFilter(library.CharFilter):
    """A text, such as a code, taken as it is written."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Say that an empty one is none."""
        super().__init__(*args, strip=False, **kwargs)
        _describe(self, type="string", minLength=1)


class WordFilter(library.TypedChoiceFilter):
    """A word of a vocabulary, described as the vocabulary is."""

    def __init__(
        self, words: type[StrEnum], field_name: str | None = None, **kwargs: Any
    ) -> None:
        """Take the vocabulary."""
        told = (inspect.getdoc(words) or "").partition("\n")[0]
        super().__init__(
            field_name, choices=choices(words), coerce=words, help_text=told, **kwargs
        )
        _describe(self, type="string", enum=[word.value for word in words])


class DayFilter(library.DateFilter):
    """A day as ISO 8601 writes it; 1/3/2026 is two days, by who reads it."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Take no other form of a day."""
        super().__init__(*args, input_formats=["%Y-%m-%d"], **kwargs)


class InstantField(IsoDateTimeField):
    """An instant of ISO 8601 with its offset."""

    def to_python(self, value: Any) -> Any:
        """Return the instant; a time without an offset could be several."""
        if value in self.empty_values:
            return None
        try:
            found = parse_datetime(value)
        except ValueError:
            found = None
        if found is None or found.tzinfo is None:
            raise forms.ValidationError(self.error_messages["invalid"], "invalid")
        return found


class InstantFilter(library.IsoDateTimeFilter):
    """An instant of ISO 8601 with its offset."""

    field_class = InstantField


class WholeNumberFilter(library.Filter):
    """A whole number between bounds; beyond them a database trips."""

    field_class = forms.IntegerField

    def __init__(self, *args: Any, least: int, most: int, **kwargs: Any) -> None:
        """Take the bounds, for the reader and for the description."""
        super().__init__(*args, min_value=least, max_value=most, **kwargs)
        _describe(self, type="integer", minimum=least, maximum=most)


class NumberFilter(WholeNumberFilter):
    """The number of something, as large as a key can be."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Take the bounds of a key."""
        super().__init__(*args, least=0, most=LARGEST_KEY, **kwargs)


class HomeNumberFilter(NumberFilter):
    """The number of a home, or of what is a home's; not for everybody to ask by.

    Who may not see homes would learn by what is answered which rows are of one.
    """

    needs = Permission.SEE_HOMES

    def __init__(
        self, field_name: str = "home", *, help_text: str = "Number of the home."
    ) -> None:
        """Say what it needs."""
        super().__init__(field_name, help_text=f"{help_text} Needs: `{self.needs}`.")


def on_record_from() -> InstantFilter:
    """Return a filter by when something was put on record."""
    told = "Put on record at this instant or later; for what is new since then."
    return InstantFilter("recorded_at", "gte", help_text=told)


def on_record_by() -> CharFilter:
    """Return a filter by who put something on record."""
    told = "Who put it on record, by the name to sign in."
    return CharFilter("recorded_by__username", help_text=told)


def _describe(filter_: library.Filter, **schema: Any) -> None:
    """Note what the OpenAPI document says of a filter."""
    told = {**schema, "description": filter_.extra.get("help_text", "")}
    set_override(filter_, "field", told)


class FilterSet(library.FilterSet):
    """The query parameters that narrow one list."""

    FILTER_DEFAULTS = {
        **library.FilterSet.FILTER_DEFAULTS,
        models.DateField: {"filter_class": DayFilter},
        models.DateTimeField: {"filter_class": InstantFilter},
    }


class Filters(library.DjangoFilterBackend):
    """Narrow a view's list by its filter set."""

    def get_filterset(
        self, request: HttpRequest, queryset: models.QuerySet[Any], view: APIView
    ) -> library.FilterSet | None:
        """Return the view's filter set, if it has one, with all that it was given.

        Raises:
            RefusedError: a value cannot be read, or is empty.
            PermissionDenied: of this a person may not ask, whatever the value.
        """
        filterset = super().get_filterset(request, queryset, view)
        if filterset is not None:
            _check_rights(filterset, request)
            _check(filterset)
        return filterset


def _check_rights(filterset: library.FilterSet, request: HttpRequest) -> None:
    for name, filter_ in filterset.filters.items():
        if isinstance(filter_, HomeNumberFilter) and name in filterset.form.data:
            person = request.user
            if not (isinstance(person, User) and person.may(filter_.needs)):
                raise PermissionDenied(
                    f"To ask by {name} needs the permission {filter_.needs}."
                )


def _check(filterset: library.FilterSet) -> None:
    form = filterset.form
    form.full_clean()
    for name, filter_ in filterset.filters.items():
        if name in form.data:
            # Nothing: it is in error, or was taken for not given.
            value = form.cleaned_data.get(name)
            if value in EMPTY_VALUES:
                raise unreadable(name, form.data[name], _accepted(filter_))
            check_day(name, value)


def _accepted(filter_: library.Filter) -> str:
    """Return in words what a parameter takes."""
    match filter_:
        case library.BooleanFilter():
            return "true, false"
        case WordFilter():
            return ", ".join(code for code, _ in filter_.extra["choices"])
        case DayFilter():
            return "a day as 2026-03-01"
        case InstantFilter():
            return "an instant as 2026-03-01T06:00:00+01:00"
        case WholeNumberFilter():
            least, most = filter_.extra["min_value"], filter_.extra["max_value"]
            return f"a whole number from {least} to {most}"
    return "other text"
