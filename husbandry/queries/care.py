"""Everything on record of a site's daily care, gathered in a fixed number of queries."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q

from core.models import Room, Site
from husbandry.models import Chore
from husbandry.queries.care_places import cared_for, enclosures_of, rooms_of
from husbandry.queries.care_records import (
    feedings_of,
    gravid_spells_of,
    observations_of,
    orders_of,
    prescriptions_of,
    tests_of,
    weighings_of,
)
from husbandry.queries.care_span import CHORES_BACK_DAYS, CareSpan, Ids
from husbandry.queries.first_records import first_recorded_on
from husbandry.queries.policies import site_profiles
from husbandry.queries.quarantine import kept_apart_since
from husbandry.rules.care.facts import CaredAnimal, CareFacts, ChoreFact
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import ChoreKind, Sex


def care_facts(
    *, site: Site, from_on: date, until_on: date, room: Room | None = None
) -> CareFacts:
    """Gather what is on record of a site's care, for some local days.

    Past days are told as they were: what was done after the last day is left out, and
    so are struck-out records and corrected weighings. Late entries count by the day
    of which they speak.

    Args:
        site: where.
        from_on: first local day asked about.
        until_on: last local day asked about; it may lie in the future.
        room: only the animals, enclosures and chores of this room; None: of all.

    Returns:
        Frozen values. Animals are those in care there at the end of the last day, by
        code; of a whole site also those without an enclosure whose last one was here.
        Profiles (with the limits that the site has set), set-ups and lights are those
        of the last day. Records begin 62 days
        before the first day; chores a week before it.
    """
    span = CareSpan(ZoneInfo(site.time_zone), from_on, until_on)
    cared = cared_for(site=site, room=room, span=span)
    species = {row["species_id"] for row in cared.rows}
    profiles = site_profiles(site=site, species_ids=species, on=until_on)
    known = _gather(cared.ids, span)
    return CareFacts(
        zone=span.zone,
        site=site.pk,
        from_on=from_on,
        until_on=until_on,
        since_on=span.since_on,
        animals=tuple(
            _animal(row, known, {k: v.profile for k, v in profiles.items()})
            for row in cared.rows
        ),
        enclosures=enclosures_of(
            site=site,
            room=room,
            span=span,
            occupied={row["enclosure"] for row in cared.rows},
        ),
        rooms=rooms_of(site=site, room=room),
        chores=_chores(site, room, span),
        first_recorded_on=first_recorded_on(site=site, span=span),
    )


@dataclass(frozen=True, slots=True)
class _Known:
    """What is on record of the animals beside their own rows, by their keys."""

    records: dict[str, dict[int, list[Any]]]
    newest: dict[int, Any]
    kept_apart: dict[int, date]


def _gather(ids: Ids, span: CareSpan) -> _Known:
    weighed_on, newest = weighings_of(ids=ids, span=span)
    records: dict[str, dict[int, list[Any]]] = {
        "gravid": gravid_spells_of(ids=ids, span=span),
        "weighed_on": weighed_on,
        "feedings": feedings_of(ids=ids, span=span),
        "orders": orders_of(ids=ids, span=span),
        "observations": observations_of(ids=ids, span=span),
        "prescriptions": prescriptions_of(ids=ids, span=span),
        "tests": tests_of(ids=ids, span=span),
    }
    return _Known(records, newest, kept_apart_since(ids=ids, on=span.until_on))


def _animal(
    row: dict[str, Any], known: _Known, profiles: dict[int, Profile]
) -> CaredAnimal:
    key = row["pk"]
    return CaredAnimal(
        id=key,
        code=row["code"],
        label=f"{row['code']} {row['name']}".strip(),
        species=row["species_id"],
        profile=profiles.get(row["species_id"]),
        sex=Sex(row["sex"]),
        hatched_on=row["hatched_on"],
        arrived_on=row["here_since"],
        enclosure=row["enclosure"],
        last_weighing=known.newest.get(key),
        kept_apart_since=known.kept_apart.get(key),
        **{
            name: tuple(by_animal[key])
            for name, by_animal in known.records.items()
            if key in by_animal
        },
    )


def _chores(site: Site, room: Room | None, span: CareSpan) -> tuple[ChoreFact, ...]:
    here = Q(enclosure__room__site=site) | Q(room__site=site)
    if room is not None:
        here = Q(enclosure__room=room) | Q(room=room)
    from_at = span.start_of(span.from_on - timedelta(CHORES_BACK_DAYS))
    rows = Chore.objects.filter(here, span.known(), at__gte=from_at).order_by(
        "at", "pk"
    )
    return tuple(
        ChoreFact(
            kind=ChoreKind(kind),
            at=at,
            on=span.day_of(at),
            enclosure=enclosure,
            room=of_room,
            feeder=feeder,
        )
        for kind, at, enclosure, of_room, feeder in rows.values_list(
            "kind", "at", "enclosure_id", "room_id", "feeder"
        )
    )
