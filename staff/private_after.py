"""What a home answers and tells of its animal on its private page."""

from http import HTTPStatus

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from core.errors import DomainError
from placements.actions.follow_ups import answer_follow_up
from placements.actions.home_reports import report_from_home
from placements.models import FollowUp, Placement, PrivateAddress
from placements.queries.private_addresses import home_behind, placements_behind
from placements.rules.vocabulary import FollowUpKind, UnitSystem
from staff.after_forms import AnswersForm, ReportForm
from staff.private_doors import opens_by_address
from staff.private_homes import private_page, secret_of

THANKS = "Thank you. It is kept, and somebody here will read it."
WORRIED = (
    "This page is not watched by night. If something is wrong with the animal now, call "
    "a licensed reptile vet; do not wait for our answer."
)


@opens_by_address
@require_POST
def answer_my_follow_up(
    request: HttpRequest, address: PrivateAddress, pk: int
) -> HttpResponseBase:
    """Answer how an animal is doing."""
    rows = FollowUp.objects.filter(placement__in=placements_behind(address))
    follow_up = get_object_or_404(rows.select_related("placement__animal"), pk=pk)
    form = AnswersForm(
        request.POST, kind=FollowUpKind(follow_up.kind), auto_id=f"id_a{pk}_%s"
    )
    form.about = pk
    if form.is_valid():
        try:
            answer_follow_up(
                follow_up=follow_up,
                answers=form.cleaned_data,
                by=None,
                at=timezone.now(),
            )
        except DomainError as error:
            form.refuse(error)
        else:
            return _thanks(request)
    return private_page(
        request, address, kept={"answers": form}, status=HTTPStatus.BAD_REQUEST
    )


@opens_by_address
@require_POST
def report_of_mine(
    request: HttpRequest, address: PrivateAddress, pk: int
) -> HttpResponseBase:
    """Tell something of an animal."""
    placement = _mine(address, pk)
    form = ReportForm(
        request.POST,
        system=UnitSystem(home_behind(address).units),
        auto_id=f"id_t{pk}_%s",
    )
    form.about = pk
    if form.is_valid():
        try:
            report_from_home(
                placement=placement, **form.told(), by=None, at=timezone.now()
            )
        except DomainError as error:
            form.refuse(error)
        else:
            return _thanks(request)
    return private_page(
        request, address, kept={"report": form}, status=HTTPStatus.BAD_REQUEST
    )


def _mine(address: PrivateAddress, pk: int) -> Placement:
    """Return a placement that the page is about; of others nothing is told."""
    for placement in placements_behind(address):
        if placement.pk == pk:
            return placement
    raise Http404("There is no such animal.")


def _thanks(request: HttpRequest) -> HttpResponseBase:
    messages.success(request, THANKS)
    messages.info(request, WORRIED)
    return redirect("staff:private_home", secret_of(request))
