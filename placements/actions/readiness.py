"""Keep what homes tell of their enclosures, and how these were judged."""

from dataclasses import fields
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from core.zones import check_zone
from husbandry.models import Animal, Species
from husbandry.rules.vocabulary import Sex
from placements.models import Home, HomeEnclosure, Placement, ReadinessReview
from placements.queries.home_enclosures import judged_now, needs_of, needs_of_kind
from placements.rules.readiness.details import (
    EnclosureDetails,
    EnclosureDetailsError,
    check_details,
)
from placements.rules.readiness.judging import outcome_of, to_document
from placements.rules.vocabulary import PlacementState

MOST_ENCLOSURES = 10
_TRAIL = (
    *("kind", "width_cm", "depth_cm", "height_cm", "lights_on", "lights_off"),
    *("uvb_lamp", "uvb_percent", "uvb_distance_cm", "uvb_through_screen"),
    *("laying_bin", "other_animals", "sees_others"),
)


class HomeErasedError(DomainError):
    """A home whose personal data are gone gets no new ones."""

    code = "home_erased"


class WrongHomeError(DomainError):
    """An enclosure stands in another home."""

    code = "wrong_home"


@transaction.atomic
def describe_enclosure(
    *,
    home: Home,
    details: EnclosureDetails,
    enclosure: HomeEnclosure | None = None,
    by: User | None,
    at: datetime,
) -> HomeEnclosure:
    """Keep how a home's enclosure is made; described anew, it has to be judged anew.

    Args:
        home: where it stands, not erased.
        details: as the home tells.
        enclosure: the one that is described anew; None: another one.
        by: the person; None: the home itself, on its private page.
        at: now.

    Raises:
        HomeErasedError: the home's personal data were erased.
        WrongHomeError: the enclosure stands in another home.
        EnclosureDetailsError: a part that cannot be, or too many enclosures.
    """
    Home.objects.select_for_update(no_key=True).get(pk=home.pk)
    home.refresh_from_db(fields=["erased_at"])
    if home.erased_at is not None:
        raise HomeErasedError("This home's data were erased; nothing is added to it.")
    check_details(details)
    _check_zone(details.time_zone)
    if enclosure is None:
        return _add(home, details, by, at)
    if enclosure.home_id != home.pk:
        raise WrongHomeError("That enclosure stands in another home.")
    enclosure.refresh_from_db()
    before = audit.values(enclosure, *_TRAIL)
    _write(enclosure, details, by, at)
    audit.record(
        enclosure,
        verb="describe_enclosure",
        by=by,
        at=at,
        before=before,
        after=audit.values(enclosure, *_TRAIL),
    )
    return enclosure


def _add(
    home: Home, details: EnclosureDetails, by: User | None, at: datetime
) -> HomeEnclosure:
    if home.enclosures.count() >= MOST_ENCLOSURES:
        raise EnclosureDetailsError(
            f"{MOST_ENCLOSURES} enclosures are described already. Describe one of them "
            "anew."
        )
    enclosure = HomeEnclosure(home=home)
    _write(enclosure, details, by, at)
    # What a home calls it, and its note, are personal: the trail leaves them out.
    after = audit.values(enclosure, "home", *_TRAIL)
    audit.record(enclosure, verb="describe_enclosure", by=by, at=at, after=after)
    return enclosure


def _write(
    enclosure: HomeEnclosure, details: EnclosureDetails, by: User | None, at: datetime
) -> None:
    for field in fields(details):
        setattr(enclosure, field.name, getattr(details, field.name))
    enclosure.label, enclosure.note = details.label.strip(), details.note.strip()
    enclosure.recorded_by, enclosure.recorded_at = by, at
    enclosure.save()


def _check_zone(name: str) -> None:
    try:
        check_zone(name)
    except ValidationError as error:
        sentence = str(error.message)
        raise EnclosureDetailsError(sentence, fields={"time_zone": sentence}) from error


@transaction.atomic
def review_readiness(
    *,
    enclosure: HomeEnclosure,
    animal: Animal | None = None,
    species: Species | None = None,
    sex: Sex = Sex.UNKNOWN,
    on: date,
    by: User | None,
    at: datetime,
) -> ReadinessReview:
    """Judge a home's enclosure for an animal, or for a grown one of a species.

    Args:
        enclosure: which.
        animal: that is to live there; None: a species is asked about.
        species: if no animal is; its last life stage counts.
        sex: of an animal that is not chosen yet.
        on: the local day whose targets hold, such as the one planned.
        by: the person.
        at: now; what was measured in the 30 days before counts.

    Returns:
        The review with each matter, as it stays on record.

    Raises:
        DomainError: neither an animal nor a species was named, or both.
    """
    enclosure.refresh_from_db()
    if animal is not None and species is None:
        needs = needs_of(animal=animal, on=on, at=at)
        kind, sex = animal.species, Sex(animal.sex)
    elif species is not None and animal is None:
        needs = needs_of_kind(species=species, sex=sex, on=on)
        kind = species
    else:
        raise DomainError(
            "Name an animal, or a species of which no animal is chosen yet, not both."
        )
    states = judged_now(enclosure=enclosure, needs=needs, at=at)
    review = ReadinessReview.objects.create(
        enclosure=enclosure,
        animal=animal,
        species=kind,
        sex=sex.value,
        on=on,
        outcome=outcome_of(states).value,
        result=to_document(states, stage=needs.stage),
        judged_by=by,
        judged_at=at,
    )
    after = audit.values(review, "enclosure", "animal", "species", "on", "outcome")
    audit.record(review, verb="review_readiness", by=by, at=at, after=after)
    return review


@transaction.atomic
def choose_enclosure(
    *, placement: Placement, enclosure: HomeEnclosure, by: User | None, at: datetime
) -> Placement:
    """Say in which of a home's enclosures an animal is to live.

    Args:
        placement: planned.
        enclosure: of the placement's home.
        by: the person.
        at: now.

    Raises:
        WrongHomeError: the enclosure stands in another home.
        DomainError: the animal has left, or the plan was called off.
    """
    if enclosure.home_id != placement.home_id:
        raise WrongHomeError(
            "That enclosure stands in another home than the animal is to go to."
        )
    before = audit.values(placement, "home_enclosure")
    changed = Placement.objects.filter(
        pk=placement.pk, state=PlacementState.PLANNED.value
    ).update(home_enclosure=enclosure)
    if not changed:
        raise DomainError(
            "The placement is not planned any more, so where the animal is to live is "
            "not chosen any more."
        )
    placement.refresh_from_db()
    audit.record(
        placement,
        verb="choose_enclosure",
        by=by,
        at=at,
        before=before,
        after=audit.values(placement, "home_enclosure"),
    )
    return placement
