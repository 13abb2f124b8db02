"""Who may be the sire of a clutch or an animal: said as a set, looked at row by row."""

from datetime import datetime

from django import forms
from django.contrib import admin
from django.core.exceptions import ValidationError

from clutches.actions.sires import set_candidate_sires
from clutches.models import CandidateSire
from clutches.rules.lineage.sire_lists import EXAMPLE, SHAPE, WORDS, read_sires
from clutches.rules.lineage.sires import SireError, SireShare
from core.admin import Given, RecordDesk, RecordForm
from core.models import User
from core.roles import Permission
from husbandry.models import Animal


class SiresField(forms.CharField):
    """Candidate sires, one a line."""

    widget = forms.Textarea(attrs={"rows": 4})

    def clean(self, value: str) -> tuple[SireShare[Animal], ...]:
        """Return the set.

        Raises:
            ValidationError: nothing is typed, a line is no candidate, or a code is
                no animal's.
        """
        try:
            typed = read_sires(super().clean(value))
        except SireError as error:
            raise ValidationError(error.sentence.splitlines()) from error
        codes = {share.sire for share in typed}
        found = {one.code: one for one in Animal.objects.filter(code__in=codes)}
        if strangers := sorted(codes - set(found)):
            raise ValidationError(
                f"There is no animal {', '.join(strangers)}. Give the code on its "
                "label."
            )
        if not typed:
            raise ValidationError("Name at least one male.")
        return tuple(
            SireShare(found[one.sire], one.probability, one.basis) for one in typed
        )


class SiresForm(RecordForm[CandidateSire]):
    """The whole set for a clutch or an animal; it replaces the set before."""

    sires_typed = SiresField(
        label="Sires",
        help_text=f"One a line: {SHAPE}. Such as {EXAMPLE}. At most 1 together; what "
        f"is missing is an unknown male. Why is one of: {WORDS}.",
        strip=False,
    )
    reason = forms.CharField(
        label="Reason", required=False, max_length=300, help_text="Who found out, how."
    )

    class Meta:
        model = CandidateSire
        fields = ("clutch", "animal")
        help_texts = {
            "clutch": "A sire of probability 1 goes on the record of all its hatchlings "
            "of whom nothing else is known.",
            "animal": "Instead of a clutch: what is known of this animal alone.",
        }


@admin.register(CandidateSire)
class CandidateSireDesk(RecordDesk[CandidateSire]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.EDIT_ANIMALS
    adding = SiresForm
    list_display = ("clutch", "animal", "sire", "probability", "basis")
    list_select_related = ("clutch", "animal", "sire")
    list_filter = ("basis",)
    search_fields = (
        *("clutch__code", "animal__code", "animal__name"),
        *("sire__code", "sire__name"),
    )

    def add(self, given: Given, *, by: User, at: datetime) -> CandidateSire:
        """Say the whole set; the first of it is shown."""
        result = set_candidate_sires(
            clutch=given["clutch"],
            animal=given["animal"],
            sires=given["sires_typed"],
            by=by,
            at=at,
            reason=given["reason"],
        )
        return result.candidates[0]
