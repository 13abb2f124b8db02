"""Labels for enclosures, to print, cut and stick."""

from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from clutches.pdf import draw_labels
from clutches.queries.labels import labels
from core.printing import PrintingUnavailableError
from core.roles import Permission
from staff.doors import opens_to


@opens_to(Permission.SEE_ANIMALS)
def labels_file(request: HttpRequest) -> HttpResponse:
    """Draw the labels of a clutch, or of single animals, as a PDF."""
    found = labels(
        clutch=request.GET.get("clutch", ""), animals=request.GET.getlist("animal")
    )
    try:
        drawn = draw_labels(found)
    except PrintingUnavailableError as error:
        return render(
            request,
            "staff/refused.html",
            {"refused": error.sentence},
            status=HTTPStatus.SERVICE_UNAVAILABLE,
        )
    return HttpResponse(
        drawn,
        content_type="application/pdf",
        headers={"Content-Disposition": 'inline; filename="labels.pdf"'},
    )
