"""Species and their care profiles."""

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models


class Species(models.Model):
    code = models.SlugField(max_length=60, unique=True)
    common_name = models.CharField(max_length=120)
    scientific_name = models.CharField(max_length=120)
    notes = models.TextField(blank=True)
    native_here = models.BooleanField(
        default=False,
        help_text="Lives wild where this organisation works. Only then may it ever be "
        "released, by whom the law permits.",
    )

    class Meta:
        ordering = ["code"]
        verbose_name_plural = "species"

    def __str__(self) -> str:
        return self.common_name


class CareProfile(models.Model):
    """One published version of a species' targets. Never altered: a change is a new version."""

    species = models.ForeignKey(
        Species, on_delete=models.PROTECT, related_name="profiles"
    )
    version = models.PositiveIntegerField()
    effective_on = models.DateField(
        help_text="Nights from this day on are judged by this version."
    )
    source_text = models.TextField(help_text="The profile as YAML, word for word.")
    sha256 = models.CharField(max_length=64, help_text="SHA-256 of the YAML text.")
    published_at = models.DateTimeField()
    published_by = models.ForeignKey(
        "core.User", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    summary = models.JSONField(
        default=dict,
        encoder=DjangoJSONEncoder,
        help_text="Counts of targets and sources, for lists.",
    )

    class Meta:
        ordering = ["species", "-version"]
        constraints = [
            models.UniqueConstraint(
                fields=["species", "version"], name="husbandry_profile_version_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.species} v{self.version}"
