"""What a clutch's record is held to before it is kept, whoever writes it."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from clutches.models import Clutch, Introduction
from clutches.queries.layings import layings_of
from clutches.queries.plans import species_profile
from clutches.rules.layings.counts import (
    Brought,
    ClutchError,
    check_counts,
    check_kind,
    check_names,
    check_plan,
    remarks_on_counts,
)
from clutches.rules.layings.dams import (
    Dam,
    Paired,
    check_dam,
    check_day,
    check_pairing,
    remarks_on_dam,
)
from clutches.rules.vocabulary import ClutchKind
from husbandry.models import Animal
from husbandry.queries.animals import relative
from husbandry.queries.whereabouts import whereabouts
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import AnimalStatus

COUNTS = {
    ClutchKind.EGGS: ("eggs_set", "eggs_infertile", "eggs_broken"),
    ClutchKind.LIVE_YOUNG: ("born_alive", "born_dead"),
}
FIELDS = (
    *("code", "species", "site", "dam", "pairing", "kind", "laid_on"),
    *COUNTS[ClutchKind.EGGS],
    *COUNTS[ClutchKind.LIVE_YOUNG],
    *("mass_g", "plan", "note"),
)


def brought_by(clutch: Clutch) -> Brought:
    """Return what was laid or born, as the rules read it."""
    kind = ClutchKind(clutch.kind)
    parts = tuple((name, getattr(clutch, name)) for name in COUNTS[kind])
    return Brought(kind, parts, clutch.mass_g)


def check_clutch(clutch: Clutch, *, at: datetime) -> tuple[str, ...]:
    """Hold a clutch that is not saved yet to every rule about clutches.

    Args:
        clutch: as it would be kept.
        at: now.

    Returns:
        What is worth a second look although it is kept.

    Raises:
        ClutchError: something of it cannot be.
    """
    brought, on = brought_by(clutch), clutch.laid_on
    check_names(code=clutch.code, note=clutch.note)
    _check_code(clutch)
    check_day(on, today=at.astimezone(ZoneInfo(clutch.site.time_zone)).date())
    check_counts(brought)
    profile = species_profile(species=clutch.species, on=on)
    check_kind(brought, profile, species=clutch.species.common_name)
    if clutch.plan is not None:
        check_plan(
            str(clutch.plan),
            same_species=clutch.plan.species_id == clutch.species_id,
            retired_on=clutch.plan.retired_on,
            laid_on=on,
        )
    remarks = remarks_on_counts(brought, profile)
    if clutch.dam is not None:
        remarks += _check_dam(clutch, clutch.dam, profile)
    if clutch.pairing is not None:
        check_pairing(_paired(clutch), dam=clutch.dam_id, on=on)
    return remarks


def _check_code(clutch: Clutch) -> None:
    clutch.code = clutch.code.strip()
    if Clutch.objects.filter(code=clutch.code).exclude(pk=clutch.pk).exists():
        raise ClutchError(
            f"There is a clutch {clutch.code!r} already. Give this one another code.",
            fields={"code": "one that is not taken"},
        )


def _check_dam(
    clutch: Clutch, animal: Animal, profile: Profile | None
) -> tuple[str, ...]:
    others = layings_of([animal.pk], until_on=date.max)[animal.pk]
    dam = Dam(
        known=relative(animal),
        left_on=None if animal.status == AnimalStatus.ELSEWHERE else animal.left_on,
        layings=tuple(laying for laying in others if laying.clutch != clutch.pk),
    )
    check_dam(dam, species=clutch.species_id, on=clutch.laid_on)
    return remarks_on_dam(dam, profile, on=clutch.laid_on)


def _paired(clutch: Clutch) -> Paired:
    pairing = clutch.pairing
    assert pairing is not None  # noqa: S101 - see `check_clutch`
    places = whereabouts(animal_ids=[pairing.dam_id])
    met = Introduction.objects.filter(pairing=pairing, struck_at__isnull=True)
    return Paired(
        str(pairing),
        pairing.dam_id,
        tuple(
            places.local_day(pairing.dam_id, at=met_at)
            for met_at in met.values_list("at", flat=True)
        ),
    )
