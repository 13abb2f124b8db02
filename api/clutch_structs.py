"""Clutches going in and coming out, and what they are named by."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from django.db.models import Model
from msgspec import UNSET, Meta, UnsetType, structs

from api.care_structs import Id, Small
from api.errors import RefusedError
from api.inputs import exact
from api.structs import In, Instant, Out, Ref, ref
from clutches.models import Clutch, EggBox, IncubationPlan, Pairing
from clutches.queries.clutches import ClutchCounts
from clutches.rules.vocabulary import ClutchKind
from core.models import Site
from husbandry.models import Animal, Enclosure, Species

MASS = Annotated[
    float | None,
    Meta(description="Grams, of all that was laid or born; null: not weighed."),
]
CODE = Annotated[str, Meta(max_length=20, description="As on its label.")]
NOTE = Annotated[str, Meta(max_length=300)]
DAM = Annotated[
    str | None, Meta(description="Code of the female; null: not known which.")
]
PAIRING = Annotated[
    Id | None,
    Meta(
        description="Number of the dam's pairing; null: no male, which is as normal, or "
        "none that is known."
    ),
]
DAY = Annotated[
    date | None, Meta(description="Local day of the site; today unless given.")
]


class LayingIn(In, frozen=True, kw_only=True):
    """Eggs that were laid."""

    code: CODE
    dam: DAM = None
    species: Annotated[
        str | None,
        Meta(description="Code of the species; the dam's unless given."),
    ] = None
    site: Annotated[str, Meta(description="Code of the site.")]
    laid_on: DAY = None
    eggs_set: Annotated[Small, Meta(description="How many are kept to incubate.")]
    eggs_infertile: Small = 0
    eggs_broken: Small = 0
    mass_g: MASS = None
    plan: Annotated[
        str | None,
        Meta(description="Code of an incubation plan; null: as the care profile says."),
    ] = None
    pairing: PAIRING = None
    box: Annotated[
        str | None,
        Meta(description="Code of the box on whose free places the eggs are put."),
    ] = None
    note: NOTE = ""


class BirthIn(In, frozen=True, kw_only=True):
    """Live young that were born."""

    code: CODE
    dam: DAM = None
    species: Annotated[
        str | None,
        Meta(description="Code of the species; the dam's unless given."),
    ] = None
    site: Annotated[str, Meta(description="Code of the site.")]
    born_on: DAY = None
    born_alive: Small
    born_dead: Small = 0
    mass_g: MASS = None
    pairing: PAIRING = None
    note: NOTE = ""


class ClutchCorrectionIn(In, frozen=True, kw_only=True):
    """What a clutch should say; what is left out stays."""

    reason: Annotated[str, Meta(min_length=1, max_length=300, description="Why.")]
    code: CODE | UnsetType = UNSET
    dam: DAM | UnsetType = UNSET
    pairing: PAIRING | UnsetType = UNSET
    laid_on: date | UnsetType = UNSET
    eggs_set: Small | UnsetType = UNSET
    eggs_infertile: Small | UnsetType = UNSET
    eggs_broken: Small | UnsetType = UNSET
    born_alive: Small | UnsetType = UNSET
    born_dead: Small | UnsetType = UNSET
    mass_g: MASS | UnsetType = UNSET
    plan: str | UnsetType | None = UNSET
    note: NOTE | UnsetType = UNSET


class EggCountsOut(Out, frozen=True):
    """How the eggs that were kept stand."""

    incubating: int
    pipped: int
    hatched: int
    failed: int


class ClutchOut(Out, frozen=True):
    """What one female laid, or bore, on one day."""

    about = Clutch
    id: int
    code: str
    kind: ClutchKind
    species: Annotated[str, Meta(description="Code of the species.")]
    site: Ref | None
    dam: Ref | None
    pairing: int | None
    laid_on: date
    eggs_set: int
    eggs_infertile: int
    eggs_broken: int
    born_alive: int
    born_dead: int
    mass_g: Decimal | None
    plan: Annotated[str | None, Meta(description="Code; null: as the profile says.")]
    note: str
    recorded_by: Annotated[str | None, Meta(description="null: the program itself.")]
    recorded_at: Instant
    eggs: Annotated[EggCountsOut, Meta(description="Of those kept, by state.")]
    animals: Annotated[int, Meta(description="How many on record came from it.")]


class RecordedClutch(ClutchOut, frozen=True):
    """A clutch that was just recorded or mended."""

    remarks: Annotated[
        tuple[str, ...], Meta(description="What is worth a second look; it is kept.")
    ]


def shown_clutch(row: Clutch, counts: ClutchCounts) -> ClutchOut:
    """Return a clutch as it is answered; what it refers to is fetched."""
    return ClutchOut(
        id=row.pk,
        code=row.code,
        kind=ClutchKind(row.kind),
        species=row.species.code,
        site=ref(row.site),
        dam=ref(row.dam),
        pairing=row.pairing_id,
        laid_on=row.laid_on,
        eggs_set=row.eggs_set,
        eggs_infertile=row.eggs_infertile,
        eggs_broken=row.eggs_broken,
        born_alive=row.born_alive,
        born_dead=row.born_dead,
        mass_g=row.mass_g,
        plan=row.plan.code if row.plan else None,
        note=row.note,
        recorded_by=str(row.recorded_by) if row.recorded_by else None,
        recorded_at=row.recorded_at,
        eggs=EggCountsOut(
            incubating=counts.incubating,
            pipped=counts.pipped,
            hatched=counts.hatched,
            failed=counts.failed,
        ),
        animals=counts.animals,
    )


_NAMED: Mapping[str, tuple[type[Model], str]] = {
    "dam": (Animal, "animal"),
    "sire": (Animal, "animal"),
    "species": (Species, "species"),
    "to": (Enclosure, "enclosure"),
    "enclosure": (Enclosure, "enclosure"),
    "other": (Enclosure, "enclosure"),
    "site": (Site, "site"),
    "plan": (IncubationPlan, "incubation plan"),
    "box": (EggBox, "egg box"),
    "pairing": (Pairing, "pairing"),
}


def named(field: str, given: Any) -> Any:
    """Return the row that a field names by its code, a pairing by its number.

    Args:
        field: of what was sent.
        given: None stays None.

    Raises:
        RefusedError: there is none.
    """
    if given is None:
        return None
    model, noun = _NAMED[field]
    by = {"pk": given} if field == "pairing" else {"code": given}
    row = model._default_manager.filter(**by).first()  # noqa: SLF001 - public API of Django
    if row is None:
        what = "number" if field == "pairing" else "code"
        raise RefusedError(
            f"unknown_{noun.replace(' ', '_')}",
            f"There is no {noun} {given!r}. Give the {what} of one on record.",
            fields={field: f"the {what} of one on record"},
        )
    return row


def changes_of(given: In) -> dict[str, Any]:
    """Return the fields that a correction names, with the rows that they stand for.

    Raises:
        RefusedError: one names what does not exist.
    """
    return {k: v for k, v in fields_of(given).items() if k != "reason"}


def fields_of(given: In) -> dict[str, Any]:
    """Return the fields of what was sent, with the rows that they stand for.

    Those that may be left out and are, are not among them.

    Raises:
        RefusedError: one names what does not exist.
    """
    sent = {k: v for k, v in structs.asdict(given).items() if v is not UNSET}
    if sent.get("mass_g") is not None:
        sent["mass_g"] = exact(sent["mass_g"])
    return {k: named(k, v) if k in _NAMED else v for k, v in sent.items()}
