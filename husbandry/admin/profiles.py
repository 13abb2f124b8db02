"""Species and their care profiles: a new version is published, never altered."""

from typing import Any

from django import forms
from django.contrib import admin
from django.http import HttpRequest
from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from core.admin import WritingDesk, person
from core.errors import NotFoundError
from core.roles import Permission
from husbandry.actions.profiles import publish_profile
from husbandry.models import CareProfile, Species
from husbandry.queries.profiles import profile_text


@admin.register(Species)
class SpeciesDesk(WritingDesk[Species]):
    sees = Permission.SEE_ANIMALS
    adds = changes = Permission.EDIT_PROFILES
    fixed = ("code",)
    list_display = ("common_name", "scientific_name", "code")
    search_fields = ("code", "common_name", "scientific_name")


class PublishForm(forms.ModelForm[CareProfile]):
    """A new version of a species' care profile; published, it is never altered."""

    source_text = forms.CharField(
        strip=False,  # word for word
        widget=forms.Textarea(attrs={"rows": 40, "cols": 100, "spellcheck": "false"}),
        help_text="The profile as YAML; each value with its source.",
    )

    class Meta:
        model = CareProfile
        fields = ("species", "effective_on", "source_text")


@admin.register(CareProfile)
class CareProfileDesk(WritingDesk[CareProfile]):
    sees = Permission.SEE_ANIMALS
    adds = Permission.EDIT_PROFILES
    list_display = ("species", "version", "effective_on", "published_at", "by")
    list_select_related = ("species", "published_by")
    list_filter = ("species",)
    search_fields = ("species__code", "species__common_name")

    @admin.display(description="published by", ordering="published_by__username")
    def by(self, row: CareProfile) -> str:
        return str(row.published_by or "the program")

    @admin.display(description="Text")
    def text(self, row: CareProfile) -> SafeString:
        return format_html("<pre>{}</pre>", row.source_text)

    def get_fields(self, request: HttpRequest, obj: CareProfile | None = None) -> Any:
        if obj is None:
            return PublishForm.Meta.fields
        told = ("species", "version", "effective_on", "published_at", "published_by")
        return (*told, "sha256", "summary", "text")

    def get_readonly_fields(
        self, request: HttpRequest, obj: CareProfile | None = None
    ) -> tuple[str, ...]:
        return ("text",) if obj is not None else ()

    def form_for(
        self, obj: CareProfile | None
    ) -> type[forms.ModelForm[CareProfile]] | None:
        return PublishForm if obj is None else None

    def get_changeform_initial_data(self, request: HttpRequest) -> dict[str, Any]:
        """Begin with the newest text of the species, so that only changes are typed."""
        given: dict[str, Any] = super().get_changeform_initial_data(request)
        species = (
            Species.objects.filter(pk=given["species"]).first()
            if str(given.get("species", "")).isdigit()
            else Species.objects.first()
        )
        if species is None:
            return given
        try:
            text = profile_text(species_code=species.code, version=None)
        except NotFoundError:
            return {"species": species.pk, **given}
        return {"species": species.pk, "source_text": text, **given}

    def keep(self, request: HttpRequest, row: CareProfile, form: Any) -> CareProfile:
        given = form.cleaned_data
        return publish_profile(
            species=given["species"],
            # Browsers send line ends of their own.
            text=given["source_text"].replace("\r\n", "\n"),
            effective_on=given["effective_on"],
            by=person(request),
            at=timezone.now(),
        )
