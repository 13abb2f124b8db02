"""Take in a pedigree file by hand: look at what would happen, then confirm."""

from base64 import b64decode, b64encode
from binascii import Error as NotBase64
from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone

from clutches.actions.pedigrees import import_pedigree, try_pedigree
from clutches.rules.pedigrees.reports import PedigreeReport
from core.errors import DomainError
from core.roles import Permission
from husbandry.models import Species
from husbandry.rules.loggers.vocabulary import DayOrder
from staff.doors import opens_to, person

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile

LARGEST_BYTES = 3_000_000
"""What is looked at first travels back and forth once, as text, in a form."""
ORDERS = [
    ("", "As the file shows it"),
    (DayOrder.DMY.value, "day first"),
    (DayOrder.MDY.value, "month first"),
    (DayOrder.YMD.value, "year first, in two digits"),
]


class PedigreeFileForm(forms.Form):
    """A pedigree file, and what it does not say itself."""

    file = forms.FileField(
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
        label="Pedigree file, CSV or .xlsx",
    )
    species = forms.ModelChoiceField(
        Species.objects.order_by("common_name"),
        required=False,
        empty_label="As the file says, or the only one",
        label="Species of lines that name none",
    )
    day_order = forms.ChoiceField(
        choices=ORDERS, required=False, label="Order in hatch dates"
    )
    name = forms.CharField(required=False, widget=forms.HiddenInput)
    content = forms.CharField(required=False, widget=forms.HiddenInput)

    def clean_file(self) -> "UploadedFile[bytes] | None":
        """Refuse what is too large before it is read into memory."""
        file: UploadedFile[bytes] | None = self.cleaned_data["file"]
        size = (file.size or 0) if file else 0
        if size > LARGEST_BYTES:
            raise ValidationError(
                f"The file has {size:,} bytes; at most {LARGEST_BYTES:,} are taken "
                "here. Split it, ancestors first, or use ./dev manage import_pedigree."
            )
        return file

    def clean(self) -> dict[str, Any]:
        """Return the file's bytes as `data`, chosen now or looked at before."""
        given: dict[str, Any] = super().clean() or {}
        file: UploadedFile[bytes] | None = given.get("file")
        if file is not None:
            given["data"], given["name"] = file.read(), file.name or "file"
        elif given.get("content"):
            given["data"] = _kept(given["content"])
        elif not self.errors:
            self.add_error("file", "Choose a file.")
        return given


def _kept(content: str) -> bytes:
    try:
        return b64decode(content, validate=True)
    except (NotBase64, ValueError) as error:
        raise ValidationError("Choose the file again.") from error


@opens_to(Permission.EDIT_ANIMALS)
def pedigree_file(request: HttpRequest) -> HttpResponseBase:
    """Ask for a pedigree file, show what would come of it, and take it in."""
    if request.method != "POST":
        return _shown(request, PedigreeFileForm(), None)
    form = PedigreeFileForm(request.POST, request.FILES)
    if not form.is_valid():
        return _shown(request, form, None)
    given, now = form.cleaned_data, timezone.now()
    said: dict[str, Any] = {
        "data": given["data"],
        "file_name": given["name"],
        "species": given["species"],
        "day_order": DayOrder(given["day_order"]) if given["day_order"] else None,
        "at": now,
    }
    try:
        if "confirm" not in request.POST:
            return _shown(request, form, try_pedigree(**said))
        report = import_pedigree(**said, on=timezone.localdate(now), by=person(request))
    except DomainError as error:
        form.add_error(None, error.sentence)
        return _shown(request, form, None)
    messages.success(request, report.summary())
    return redirect("staff:pedigree_file")


def _shown(
    request: HttpRequest, form: PedigreeFileForm, report: PedigreeReport | None
) -> HttpResponse:
    """Return the page; of a file that could be read it keeps the bytes for later."""
    given = getattr(form, "cleaned_data", {})
    data: bytes = given.get("data", b"")
    context = {
        "form": form,
        "report": report,
        "summary": report.summary() if report else "",
        "told": report.sentences()[1:] if report else (),
        "changes": report.changes_something() if report else False,
        "name": given.get("name", ""),
        "content": b64encode(data).decode() if data else "",
    }
    return render(request, "staff/pedigree_file.html", context)
