"""What goes in and out about homes' enclosures."""

from datetime import date, datetime, time
from decimal import Decimal
from typing import Annotated, Any

from msgspec import Meta

from api.inputs import exact
from api.row_lists import RefusedRow
from api.structs import Asked, In, Instant, Out, Ref, ref
from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Sex, Zone
from placements.models import HomeEnclosure, ReadinessReview
from placements.rules.readiness.details import EnclosureDetails
from placements.rules.vocabulary import Readiness, UvbLamp

MOST_TYPED = 500
Cm = Annotated[float, Meta(description="Inside, cm.")]
Clock = Annotated[time, Meta(description="Local time, such as 08:00:00.")]


class HomeEnclosureIn(In, frozen=True, kw_only=True):
    """An enclosure as its home describes it."""

    label: Annotated[str, Meta(max_length=60, description="As the home calls it.")]
    kind: EnclosureKind
    width_cm: Cm
    depth_cm: Cm
    height_cm: Cm
    time_zone: Annotated[
        str, Meta(max_length=60, description="IANA name, for example Europe/Lisbon.")
    ]
    lights_on: Clock
    lights_off: Clock
    uvb_lamp: UvbLamp
    uvb_percent: Annotated[
        float | None, Meta(description="As printed on the lamp, %; null: not said.")
    ] = None
    uvb_distance_cm: Annotated[
        float | None,
        Meta(description="From the lamp to the highest perch, cm; null: not said."),
    ] = None
    uvb_through_screen: bool = False
    laying_bin: bool = False
    other_animals: Annotated[
        int, Meta(ge=0, le=1_000, description="That live in it already.")
    ] = 0
    sees_others: Annotated[
        bool | None,
        Meta(
            description="Another of its kind can be seen from inside; null: not said."
        ),
    ] = None
    note: Annotated[str, Meta(max_length=2_000)] = ""


class NewHomeEnclosureIn(HomeEnclosureIn, frozen=True, kw_only=True):
    """An enclosure that a home has made."""

    home: Annotated[int, Meta(ge=0, le=2**63 - 1, description="Number of the home.")]


class HomeEnclosureOut(Out, frozen=True):
    """An enclosure in a home; personal data."""

    about = HomeEnclosure
    id: int
    home: int
    label: str
    kind: EnclosureKind
    width_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    depth_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    height_cm: Annotated[Decimal, Meta(description="Inside, cm.")]
    time_zone: str
    lights_on: time
    lights_off: time
    uvb_lamp: UvbLamp
    uvb_percent: Decimal | None
    uvb_distance_cm: Annotated[
        Decimal | None,
        Meta(description="From the lamp to the highest perch, cm; null: not said."),
    ]
    uvb_through_screen: bool
    laying_bin: bool
    other_animals: int
    sees_others: bool | None
    note: str
    recorded_at: Instant
    readings: Annotated[int, Meta(description="How many values were measured in it.")]
    newest_review: Annotated[
        int | None,
        Meta(description="Number of the newest review; null: never judged."),
    ]


class HomeReadingIn(In, frozen=True, kw_only=True):
    """One value that somebody read off an instrument."""

    zone: Zone
    quantity: Quantity
    at: Instant
    value: Annotated[float, Meta(description="°C, % or UV index.")]


class HomeReadingsIn(In, frozen=True, kw_only=True):
    """Values that were read off instruments; a bad one does not keep others out."""

    readings: Annotated[list[HomeReadingIn], Meta(min_length=1, max_length=MOST_TYPED)]


class HomeReadingsOut(Out, frozen=True):
    """What became of readings."""

    stored: Annotated[int, Meta(description="Values that are new.")]
    known: Annotated[int, Meta(description="Values that were kept before.")]
    conflicting: Annotated[
        int, Meta(description="At their instant another value was kept, which stays.")
    ]
    refused: tuple[RefusedRow, ...]


class HomeFileOut(HomeReadingsOut, frozen=True):
    """What became of a logger's file."""

    file_name: str
    rows_read: int
    rows_refused: int
    too_old: Annotated[
        int, Meta(description="Values from before the days that are looked at.")
    ]
    told: Annotated[tuple[str, ...], Meta(description="What was refused or supposed.")]


class HomeFileAsked(Asked, frozen=True, kw_only=True):
    """What the file does not say itself."""

    zone: Annotated[Zone, Meta(description="At which spot the logger hung.")]
    channel: Annotated[
        str, Meta(description="Which of the file's instruments it was.")
    ] = ""
    day_order: Annotated[
        DayOrder | None, Meta(description="Of dates such as 04/05/2026.")
    ] = None
    unit: Annotated[
        Unit | None, Meta(description="Of columns whose heading names none.")
    ] = None
    starts_on: Annotated[
        date | None, Meta(description="Local day of the first row, for times only.")
    ] = None


class ReviewIn(In, frozen=True, kw_only=True):
    """For whom an enclosure is judged: an animal, or a grown one of a species."""

    animal: Annotated[str | None, Meta(description="Code of the animal.")] = None
    species: Annotated[str | None, Meta(description="Code, if no animal is.")] = None
    sex: Annotated[Sex, Meta(description="With a species; unknown is fine.")] = (
        Sex.UNKNOWN
    )
    on: Annotated[
        date | None,
        Meta(description="Whose targets hold, such as the day planned; or today."),
    ] = None


class MatterOut(Out, frozen=True):
    """One thing that an enclosure is compared with, in words and numbers."""

    title: str
    state: Readiness
    wanted: str
    found: str
    days: Annotated[tuple[str, ...], Meta(description="What was measured, day by day.")]
    why: str
    says: Annotated[str, Meta(description="On whose word the wanted stands.")]
    note: str
    others: Annotated[
        tuple[str, ...], Meta(description="What other sources say instead.")
    ]
    judged: Annotated[
        dict[str, Any], Meta(description="The numbers behind it, as kept.")
    ]


class ReadinessReviewOut(Out, frozen=True):
    """How a home's enclosure compared on a day; it stays as it was."""

    about = ReadinessReview
    id: int
    enclosure: Annotated[
        int | None,
        Meta(description="Its number; null for those who may not see homes."),
    ]
    animal: Ref | None
    species: Ref | None
    sex: Sex
    on: date
    outcome: Readiness
    matters: Annotated[
        tuple[MatterOut, ...] | None,
        Meta(description="null for those who may not see homes."),
    ]
    judged_by: str | None
    judged_at: Instant


def details_of(given: HomeEnclosureIn) -> EnclosureDetails:
    """Return what was sent of an enclosure as the action takes it."""
    return EnclosureDetails(
        label=given.label,
        kind=given.kind,
        width_cm=exact(given.width_cm),
        depth_cm=exact(given.depth_cm),
        height_cm=exact(given.height_cm),
        time_zone=given.time_zone,
        lights_on=_local(given.lights_on),
        lights_off=_local(given.lights_off),
        uvb_lamp=given.uvb_lamp,
        uvb_percent=_exact(given.uvb_percent),
        uvb_distance_cm=_exact(given.uvb_distance_cm),
        uvb_through_screen=given.uvb_through_screen,
        laying_bin=given.laying_bin,
        other_animals=given.other_animals,
        sees_others=given.sees_others,
        note=given.note,
    )


def _exact(number: float | None) -> Decimal | None:
    return None if number is None else exact(number)


def _local(at: time) -> time:
    """Return a local time; an offset would say nothing that the zone does not."""
    return at.replace(tzinfo=None, microsecond=0)


def enclosure_values(row: HomeEnclosure, newest_review: int | None) -> dict[str, Any]:
    """Return an enclosure's fields, without how many readings it has."""
    names = (
        *("label", "width_cm", "depth_cm", "height_cm", "time_zone", "lights_on"),
        *("lights_off", "uvb_percent", "uvb_distance_cm", "uvb_through_screen"),
        *("laying_bin", "other_animals", "sees_others", "note", "recorded_at"),
    )
    return {
        "id": row.pk,
        "home": row.home_id,
        "kind": EnclosureKind(row.kind),
        "uvb_lamp": UvbLamp(row.uvb_lamp),
        "newest_review": newest_review,
        **{name: getattr(row, name) for name in names},
    }


def review_values(row: ReadinessReview) -> dict[str, Any]:
    """Return a review's fields, without its matters."""
    species = Ref(id=row.species_id, code=row.species.code)
    judged_at: datetime = row.judged_at
    return {
        "id": row.pk,
        "enclosure": row.enclosure_id,
        "animal": ref(row.animal),
        "species": species,
        "sex": Sex(row.sex),
        "on": row.on,
        "outcome": Readiness(row.outcome),
        "judged_by": str(row.judged_by) if row.judged_by else None,
        "judged_at": judged_at,
    }
