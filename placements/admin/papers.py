"""The back office of papers: permits, certificates and statements; none is typed over."""

from datetime import datetime

from django import forms
from django.contrib import admin

from core.admin import Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from placements.actions.papers import record_paper, withdraw_paper
from placements.models import AnimalPaper
from placements.rules.vocabulary import CitesSource, PaperKind


class PaperForm(RecordForm[AnimalPaper]):
    """About one animal, or about keeping a species. Local law decides what is needed."""

    class Meta:
        model = AnimalPaper
        fields = (
            *("kind", "animal", "species", "number", "cites_source", "issued_by"),
            *("issued_on", "valid_until"),
        )
        help_texts = {
            "animal": "Or else a species.",
            "cites_source": "The letter on a CITES permit or certificate. F, born in "
            "captivity, is treated for permits as W, taken from the wild.",
        }


class WithdrawForm(RecordForm[AnimalPaper]):
    """Withdraw a paper that was recorded wrongly or holds no more; it stays to be read."""

    because = forms.CharField(max_length=200, label="Withdraw it, because")

    class Meta:
        model = AnimalPaper
        fields = ()


@admin.register(AnimalPaper)
class AnimalPaperDesk(RecordDesk[AnimalPaper]):
    sees = adds = changes = Permission.RECORD_INTAKE
    adding, changing = PaperForm, WithdrawForm
    # Both may name people; who may see homes reads them over the API.
    exclude = ("photo", "note")
    list_display = (
        *("kind", "number", "animal", "species", "cites_source", "valid_until"),
        "withdrawn_at",
    )
    list_select_related = ("animal", "species")
    list_filter = ("kind", "cites_source")
    search_fields = ("number", "animal__code", "species__common_name")

    def is_open(self, row: AnimalPaper) -> bool:
        return row.withdrawn_at is None

    def add(self, given: Given, *, by: User, at: datetime) -> AnimalPaper:
        return record_paper(
            kind=PaperKind(given["kind"]),
            number=given["number"],
            issued_by=given["issued_by"],
            animal=given["animal"],
            species=given["species"],
            cites_source=CitesSource(given["cites_source"])
            if given["cites_source"]
            else None,
            issued_on=given["issued_on"],
            valid_until=given["valid_until"],
            by=by,
            at=at,
        )

    def change(
        self, row: AnimalPaper, given: Given, *, by: User, at: datetime
    ) -> AnimalPaper:
        return withdraw_paper(paper=row, reason=given["because"], by=by, at=at)
