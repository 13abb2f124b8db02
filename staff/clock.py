"""By which clock the back office shows times."""

from collections.abc import Callable
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from core.models import Site

Answer = Callable[[HttpRequest], HttpResponse]


def back_office_clock(get_response: Answer) -> Answer:
    """Show the back office by its site's clock where there is one site, else by UTC."""

    def answer(request: HttpRequest) -> HttpResponse:
        if not request.path.startswith(reverse("admin:index")):
            return get_response(request)
        with timezone.override(_zone_of_the_only_site()):
            return get_response(request)

    return answer


def clock_told() -> str:
    """Return the sentence that says by which clock lists show times."""
    zone = str(timezone.get_current_timezone())
    if zone == "UTC":
        return "Times in lists are UTC; forms take the clock of the site."
    return f"Times in lists and forms are by the clock of {zone}."


def _zone_of_the_only_site() -> ZoneInfo | None:
    zones = list(Site.objects.values_list("time_zone", flat=True)[:2])
    return ZoneInfo(zones[0]) if len(zones) == 1 else None
