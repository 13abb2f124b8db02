"""Small drawings of what was measured in a home's enclosure, as files of their own."""

from zoneinfo import ZoneInfo

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from core.roles import Permission
from husbandry.models import Animal
from husbandry.rules.vocabulary import Quantity, Zone
from placements.models import HomeEnclosure
from placements.queries.home_enclosures import home_days, needs_of, readings_of
from staff.charting import NARROW, WIDE, svg
from staff.doors import opens_to, person
from staff.home_charting import spot_chart
from staff.units import units_of


@opens_to(Permission.SEE_HOMES)
def home_enclosure_svg(
    request: HttpRequest, pk: int, animal_pk: int, zone: str, quantity: str
) -> HttpResponse:
    """Draw what was measured at one spot, with what an animal wants there."""
    enclosure, now = get_object_or_404(HomeEnclosure, pk=pk), timezone.now()
    animal = Animal.objects.select_related("species").filter(pk=animal_pk).first()
    if zone not in set(Zone) or quantity not in set(Quantity):
        raise Http404("There is no such spot.")
    on = timezone.localdate(now)
    chart = spot_chart(
        readings_of(enclosure=enclosure, at=now),
        zone=Zone(zone),
        quantity=Quantity(quantity),
        targets=needs_of(animal=animal, on=on, at=now).targets if animal else (),
        days=home_days(enclosure=enclosure, at=now),
        clock=ZoneInfo(enclosure.time_zone),
        units=units_of(person(request)),
        size=NARROW if request.GET.get("size") == "narrow" else WIDE,
    )
    if chart is None:
        raise Http404("Nothing was measured there.")
    return HttpResponse(
        svg(chart, dim=request.GET.get("light") == "dim"),
        content_type="image/svg+xml",
        headers={"Cache-Control": "private, max-age=60"},
    )
