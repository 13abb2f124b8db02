"""One finding with all its evidence, its picture, and a person's word on it."""

import re
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST

from core.admin import DayField
from core.errors import DomainError
from core.roles import Permission
from husbandry.actions.findings import acknowledge_finding
from husbandry.models import Finding
from husbandry.queries.mornings import (
    earlier_spells,
    finding_as_of,
    finding_nights,
)
from husbandry.queries.profiles import profile_in_force
from husbandry.rules.profiles.values import Source
from husbandry.rules.sentences.findings import UNREADABLE, describe
from husbandry.rules.sentences.numbers import Units
from husbandry.rules.vocabulary import FindingKind
from staff.cards import Card, card
from staff.doors import opens_to, person
from staff.units import units_of, weekday

KEYS = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


class AcknowledgeForm(forms.Form):
    """A person has seen it; a note and a rest, if wanted."""

    note = forms.CharField(
        label="Note", required=False, max_length=300, help_text="At most 300 letters."
    )
    quiet_until = DayField(
        label="Show it below the others until",
        required=False,
        error_messages={"invalid": "This is no date. Write it as 2027-03-12."},
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        """Keep what day it is where the finding is."""
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_quiet_until(self) -> date | None:
        """Refuse a day that is not in the future."""
        until: date | None = self.cleaned_data["quiet_until"]
        if until is not None and until <= self.today:
            tomorrow = self.today + timedelta(days=1)
            raise ValidationError(
                f"{weekday(until)} is not in the future. Give {weekday(tomorrow)} or "
                "later, or none."
            )
        return until


@dataclass(frozen=True, slots=True)
class Night:
    """What one night said of it."""

    on: date
    urgency: str
    what: str


def load_finding(pk: int) -> Finding:
    """Return a finding with all that a page says of it.

    Raises:
        Http404: there is none.
    """
    rows = Finding.objects.select_related(
        "site", "animal__species", "enclosure__room", "probe__enclosure"
    ).prefetch_related("acknowledgements__by")
    return get_object_or_404(rows, pk=pk)


def night_asked(request: HttpRequest, finding: Finding) -> date:
    """Return the night of `?night=`, else the last that saw the finding.

    Raises:
        Http404: it is no date, or lies before the finding.
    """
    asked = request.GET.get("night", "")
    try:
        on = date.fromisoformat(asked) if asked else finding.last_seen_on
    except ValueError as error:
        raise Http404(f"{asked!r} is no date.") from error
    if on < finding.opened_on:
        raise Http404("The finding was not open on that night.")
    return on


@opens_to(Permission.SEE_FINDINGS)
def finding_page(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one finding with its evidence and its history."""
    finding = load_finding(pk)
    form = AcknowledgeForm(today=_today(finding))
    return _finding_page(request, finding, form, status=200)


def _finding_page(
    request: HttpRequest, finding: Finding, form: AcknowledgeForm, *, status: int
) -> HttpResponse:
    reader = person(request)
    units = units_of(reader)
    on = night_asked(request, finding)
    shown = card(finding_as_of(finding=finding, on=on), units=units, with_site=True)
    context = {
        "finding": finding,
        "card": shown,
        "form": form,
        "nights": _nights(finding, units),
        "spells": earlier_spells(finding=finding),
        "sources": _sources(finding, shown, on),
        "may_acknowledge": reader.may(Permission.ACKNOWLEDGE_FINDINGS),
        "is_open": finding.closed_on is None and finding.withdrawn_on is None,
    }
    return render(request, "staff/finding.html", context, status=status)


def _nights(finding: Finding, units: Units) -> list[Night]:
    nights = []
    for said in finding_nights(finding=finding):
        what = "The data did not suffice to say."
        if said.seen:
            try:
                what = describe(FindingKind(said.kind), said.evidence, units=units).what
            except UNREADABLE:
                what = "Its numbers cannot be read by this version."
        nights.append(Night(said.on, said.urgency if said.seen else "unknown", what))
    return nights


def _sources(finding: Finding, shown: Card, on: date) -> list[Source]:
    """Return the sources that the finding names, as its care profile lists them."""
    if finding.animal is None:
        return []
    found = profile_in_force(species_id=finding.animal.species_id, on=on)
    if found is None:
        return []
    named = set(KEYS.findall(f"{shown.words.why} {shown.words.basis}"))
    return [source for source in found.profile.sources if source.key in named]


@opens_to(Permission.ACKNOWLEDGE_FINDINGS)
@require_POST
def acknowledge(request: HttpRequest, pk: int) -> HttpResponseBase:
    """Note that the person who is signed in has seen a finding."""
    finding = load_finding(pk)
    form = AcknowledgeForm(request.POST, today=_today(finding))
    if not form.is_valid():
        return _finding_page(request, finding, form, status=400)
    try:
        acknowledge_finding(
            finding=finding,
            by=person(request),
            at=timezone.now(),
            note=form.cleaned_data["note"].strip(),
            quiet_until=form.cleaned_data["quiet_until"],
        )
    except DomainError as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, f"Noted: you have seen {_name(finding)}.")
    return redirect(_back(request, finding))


def _today(finding: Finding) -> date:
    return timezone.localdate(timezone=ZoneInfo(finding.site.time_zone))


def _name(finding: Finding) -> str:
    about = finding.animal or finding.enclosure or finding.probe or finding.key
    return f"{finding.get_kind_display()} of {about}"


def _back(request: HttpRequest, finding: Finding) -> str:
    wanted = request.POST.get("next", "")
    if url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    ):
        return wanted
    return reverse("staff:finding", args=[finding.pk])
