"""Pictures as files of their own, so that a page need not wait for them."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from core.charts.values import Chart
from core.roles import Permission
from husbandry.models import Animal, Finding, Probe
from husbandry.queries.animals import care_by_animal
from husbandry.queries.mornings import finding_as_of
from husbandry.queries.pictures import band_of, probe_day
from husbandry.queries.stays import zone_of
from husbandry.queries.weights import weighings_by_animal
from husbandry.rules.profiles.resolving import weight_band_for
from husbandry.rules.vocabulary import FindingKind, Quantity, Sex
from staff.cards import OF_PROBES, WEIGHTS
from staff.charting import NARROW, WIDE, conditions_chart, svg, wanted_by, weights_chart
from staff.doors import opens_to, person
from staff.findings import load_finding, night_asked
from staff.units import units_of


@opens_to(Permission.SEE_FINDINGS)
def finding_picture(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw the day or the weights that made a finding."""
    finding = load_finding(pk)
    found = finding_as_of(finding=finding, on=night_asked(request, finding))
    kind = FindingKind(finding.kind)
    if kind in OF_PROBES and finding.probe is not None:
        return _svg(request, _of_probe(request, finding, found.evidence, found.seen_on))
    if kind in WEIGHTS and finding.animal is not None:
        return _svg(request, _of_weights(request, finding.animal, found.seen_on))
    raise Http404("There is no picture of this.")


@opens_to(Permission.SEE_ANIMALS)
def weights_picture(request: HttpRequest, pk: int) -> HttpResponse:
    """Draw an animal's last weighings."""
    animal = get_object_or_404(Animal.objects.select_related("species"), pk=pk)
    zone = zone_of(animal=animal, at=timezone.now())
    on = timezone.localdate(timezone=zone)
    return _svg(request, _of_weights(request, animal, on))


def _svg(request: HttpRequest, chart: Chart) -> HttpResponse:
    text = svg(chart, dim=request.GET.get("light") == "dim")
    return HttpResponse(
        text,
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )


def _of_probe(
    request: HttpRequest, finding: Finding, evidence: Mapping[str, Any], on: date
) -> Chart:
    probe = finding.probe
    if probe is None:
        raise Http404("There is no picture of this.")
    quantity = Quantity(evidence.get("quantity") or _first_quantity(probe))
    wanted = wanted_by(evidence)
    band = (
        band_of(probe=probe, quantity=quantity, on=on, wanted=wanted) if wanted else 0
    )
    return conditions_chart(
        probe_day(probe=probe, site=finding.site, quantity=quantity, on=on, band=band),
        evidence={"zone": probe.zone, "probe": probe.code, **evidence},
        on=on,
        zone=ZoneInfo(finding.site.time_zone),
        units=units_of(person(request)),
        size=NARROW if request.GET.get("size") == "narrow" else WIDE,
    )


def _first_quantity(probe: Probe) -> Quantity:
    if probe.measures_temperature:
        return Quantity.TEMPERATURE_C
    return Quantity.HUMIDITY_PCT if probe.measures_humidity else Quantity.UV_INDEX


def _of_weights(request: HttpRequest, animal: Animal, on: date) -> Chart:
    now = timezone.now()
    care = care_by_animal(animals=[animal], on=on)[animal.pk]
    points = weighings_by_animal(animal_ids=[animal.pk], until_at=now)
    return weights_chart(
        points.get(animal.pk, ()),
        name=str(animal),
        on=on + timedelta(days=1),
        zone=zone_of(animal=animal, at=now),
        band=weight_band_for(care.profile, care.stage_code, Sex(animal.sex))
        if care.profile
        else None,
        units=units_of(person(request)),
        size=NARROW if request.GET.get("size") == "narrow" else WIDE,
    )
