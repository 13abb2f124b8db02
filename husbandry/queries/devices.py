"""Which probes a device posts for."""

from collections import defaultdict
from collections.abc import Collection

from core.models import User
from core.roles import TokenScope
from husbandry.models import DeviceProbe, Probe


def probe_ids_of(person: User) -> frozenset[int] | None:
    """Return the probes whose readings somebody may post.

    Args:
        person: as the door knows them; whether they may post at all is not asked.

    Returns:
        None: of all probes. For one who is reached through a device's token, the
        ids of the probes that are bound to it now; that may be none. One query for
        those, none for others.
    """
    token = person.token
    if token is None or token.scope != TokenScope.INGEST.value:
        return None
    rows = DeviceProbe.objects.filter(device__token=token, unbound_at__isnull=True)
    return frozenset(rows.values_list("probe_id", flat=True))


def bound_probes(device_ids: Collection[int]) -> dict[int, tuple[Probe, ...]]:
    """Return the probes that devices post for now, by code; one query.

    Args:
        device_ids: of the devices.

    Returns:
        By device; one without any has no entry.
    """
    rows = DeviceProbe.objects.filter(device__in=device_ids, unbound_at__isnull=True)
    found: dict[int, list[Probe]] = defaultdict(list)
    for row in rows.select_related("probe").order_by("probe__code"):
        found[row.device_id].append(row.probe)
    return {device: tuple(probes) for device, probes in found.items()}
