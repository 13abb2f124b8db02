"""Devices that post readings by themselves, and the probes they speak for."""

from django.db import models
from django.db.models import Q


class Device(models.Model):
    """A logger or hub that posts readings with a token of its own (ADR 0018)."""

    token = models.OneToOneField(
        "core.ApiToken",
        on_delete=models.CASCADE,
        related_name="+",
        help_text="What it signs in with; of the scope ingest.",
    )

    class Meta:
        ordering = ["token__name", "pk"]

    def __str__(self) -> str:
        return str(self.token)


class DeviceProbe(models.Model):
    """That a device posts for a probe, from an instant until another."""

    device = models.ForeignKey(Device, on_delete=models.CASCADE, related_name="probes")
    probe = models.ForeignKey(
        "husbandry.Probe", on_delete=models.PROTECT, related_name="devices"
    )
    bound_at = models.DateTimeField()
    unbound_at = models.DateTimeField(
        null=True, blank=True, help_text="Empty: it posts for the probe now."
    )

    class Meta:
        ordering = ["device", "probe", "bound_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["device", "probe"],
                condition=Q(unbound_at__isnull=True),
                name="husbandry_deviceprobe_bound_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.device} – {self.probe}"
