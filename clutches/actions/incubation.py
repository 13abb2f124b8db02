"""Keep how warm incubators were, hour by hour, in place of what was kept before."""

from collections.abc import Collection
from datetime import date

from django.db import connection
from django.db.transaction import TransactionManagementError

from clutches.models import IncubatorDay
from clutches.rules.incubation.climate import IncubatorClimate
from core.models import Site
from husbandry.rules.vocabulary import EnclosureKind

BATCH = 500


def write_incubator_days(
    climate: IncubatorClimate, *, site: Site, on: date
) -> Collection[IncubatorDay]:
    """Replace what is kept of a site's incubators of one local day.

    Writes no audit entry: it is a part of the review, which writes one.

    Args:
        climate: what was measured in them.
        site: whose review it is.
        on: the local day.

    Returns:
        One row for each probe with an hour that is known.

    Raises:
        TransactionManagementError: called outside a transaction, where a failure
            would leave the day half-written.
    """
    if not connection.in_atomic_block:
        raise TransactionManagementError(
            "write_incubator_days deletes and inserts: call it inside "
            "transaction.atomic(), so that a night is never half-written."
        )
    # Also of a probe that was retired or moved after an earlier review.
    IncubatorDay.objects.filter(
        on=on,
        probe__enclosure__room__site=site,
        probe__enclosure__kind=EnclosureKind.INCUBATOR.value,
    ).delete()
    return IncubatorDay.objects.bulk_create(
        [
            IncubatorDay(
                probe_id=probe.id,
                on=on,
                start_s=climate.day.start_s,
                hours_milli_c=list(probe.hours_milli_c),
            )
            for probe in climate.probes
            if any(hour is not None for hour in probe.hours_milli_c)
        ],
        batch_size=BATCH,
    )
