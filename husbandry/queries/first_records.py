"""From which day on a site has recorded each kind of care."""

from datetime import date, datetime

from django.db.models import DateTimeField, Min, OuterRef, Subquery, Value
from django.db.models.functions import Coalesce

from core.models import Site
from husbandry.models import Chore, Enclosure, Feeding, Lamp, LampCheck, Stay
from husbandry.queries.care_span import CareSpan
from husbandry.rules.vocabulary import ChoreKind, TaskKind


def first_recorded_on(*, site: Site, span: CareSpan) -> dict[TaskKind, date]:
    """Return the day of the first record of each kind of care; five queries.

    Args:
        site: where. A feeding is of the site where the animal stayed at the time.
        span: what was done after its last day is not known.

    Returns:
        Local days. Lamps count from the day on which one was fitted. Kinds of which
        nothing is on record are absent, and so are weighings, which are always judged.
    """
    instants = {
        TaskKind.FEED: _feeding(site, span),
        TaskKind.MIST: _misting(site, span),
        TaskKind.GUT_LOAD: _gut_loading(site, span),
    }
    found = {kind: span.day_of(at) for kind, at in instants.items() if at is not None}
    lamp_on = _lamp(site, span)
    if lamp_on is not None:
        found |= {TaskKind.UV_CHECK: lamp_on, TaskKind.LAMP_CHANGE: lamp_on}
    return found


def _feeding(site: Site, span: CareSpan) -> datetime | None:
    # One look into the index of feedings for each stay: they are too many to be read.
    end_at = Value(span.end_at, output_field=DateTimeField())
    first = Feeding.objects.filter(
        span.known(),
        animal=OuterRef("animal"),
        at__gte=OuterRef("from_at"),
        at__lt=Coalesce(OuterRef("until_at"), end_at),
    ).order_by("at")
    stays = Stay.objects.filter(enclosure__room__site=site, from_at__lt=span.end_at)
    found: datetime | None = stays.annotate(
        first=Subquery(first.values("at")[:1])
    ).aggregate(found=Min("first"))["found"]
    return found


def _misting(site: Site, span: CareSpan) -> datetime | None:
    first = Chore.objects.filter(
        span.known(), kind=ChoreKind.MISTING.value, enclosure=OuterRef("pk")
    ).order_by("at")
    enclosures = Enclosure.objects.filter(room__site=site)
    found: datetime | None = enclosures.annotate(
        first=Subquery(first.values("at")[:1])
    ).aggregate(found=Min("first"))["found"]
    return found


def _gut_loading(site: Site, span: CareSpan) -> datetime | None:
    found: datetime | None = Chore.objects.filter(
        span.known(), kind=ChoreKind.GUT_LOADING.value, room__site=site
    ).aggregate(found=Min("at"))["found"]
    return found


def _lamp(site: Site, span: CareSpan) -> date | None:
    fitted_on = Lamp.objects.filter(
        enclosure__room__site=site, fitted_on__lte=span.until_on
    ).aggregate(found=Min("fitted_on"))["found"]
    checked_at = LampCheck.objects.filter(
        span.known(), lamp__enclosure__room__site=site
    ).aggregate(found=Min("at"))["found"]
    checked_on = span.day_of(checked_at) if checked_at else None
    return min((on for on in (fitted_on, checked_on) if on is not None), default=None)
