"""The public form: everybody may apply for an animal, without an account."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from core.errors import DomainError
from placements.actions.applications import receive_from_public
from placements.queries.personal_data import retention_in_force
from placements.rules.applications.advice import SALMONELLA
from staff.application_forms import ApplicationForm
from staff.doors import open_to_everybody
from staff.public_pages import house
from staff.throttling import WAIT_S, count_failure, is_held

HELD = (
    f"Several applications have come from here within minutes. Wait {WAIT_S // 60} "
    "minutes, then send it again; what you typed is still here."
)
TRAPPED = "This has to stay empty; only programs fill it in. Empty it, then send again."


USUAL = {"kind": "adoption", "units": "metric", "paper": "a4"}


@open_to_everybody
@require_http_methods(["GET", "HEAD", "POST"])
def apply(request: HttpRequest) -> HttpResponseBase:
    """Show the form; take what is typed, or say what of it cannot be kept."""
    if request.method != "POST":
        asked_for = request.GET.get("animal", "")[:20]
        initial = {"animal": asked_for, **USUAL}
        return _page(request, ApplicationForm(initial=initial))
    form = ApplicationForm(request.POST)
    who = {"name": "application form", "address": request.META.get("REMOTE_ADDR", "")}
    if is_held(**who):
        form.full_clean()
        form.tell({"": HELD})
        answer = _page(request, form, status=HTTPStatus.TOO_MANY_REQUESTS)
        answer.headers["Retry-After"] = str(WAIT_S)
        return answer
    if form.is_trapped:
        count_failure(**who)
        form.full_clean()
        form.tell({"website": TRAPPED})
    if not form.is_valid():
        return _page(request, form, status=HTTPStatus.BAD_REQUEST)
    try:
        _, address = receive_from_public(
            applicant=form.cleaned_data["applicant"],
            kind=form.cleaned_data["kind"],
            species=form.cleaned_data["species"],
            animal=form.cleaned_data["animal"],
            answers=form.cleaned_data["answers"],
            at=timezone.now(),
        )
    except DomainError as error:
        # It changed since the form looked, such as an animal that has just left.
        form.tell(error.fields or {"": error.sentence})
        return _page(request, form, status=HTTPStatus.CONFLICT)
    # Each that is kept counts: who sends one after another is slowed down.
    count_failure(**who)
    return redirect("staff:private_home", address)


def _page(
    request: HttpRequest, form: ApplicationForm, *, status: int = HTTPStatus.OK
) -> HttpResponse:
    if form.is_bound:
        form.shorten()
    context = {
        "house": house(),
        "form": form,
        "trapped": form.is_trapped,
        "retention": retention_in_force(),
        "advice": SALMONELLA,
    }
    answer = render(request, "staff/apply.html", context, status=status)
    # What somebody typed about themselves stays in no shared browser.
    answer.headers["Cache-Control"] = "no-store"
    return answer
