"""Note in which reproductive state an animal is; targets may depend on it."""

from datetime import date, datetime, timedelta

from django.db import transaction

from core import audit
from core.errors import DomainError
from core.models import User
from core.zones import day_bounds
from husbandry.actions.staleness import mark_animal_stale
from husbandry.models import Animal, ReproductiveSpell
from husbandry.queries.stays import local_day_of, zone_of
from husbandry.rules.animals import not_in_care
from husbandry.rules.vocabulary import AnimalStatus, Reproduction, Sex

LONGEST_BASIS = 200


class ReproductionError(DomainError):
    """A reproductive state cannot be as recorded."""

    code = "reproduction_refused"


@transaction.atomic
def record_reproductive_state(
    *,
    animal: Animal,
    state: Reproduction,
    on: date,
    by: User | None,
    at: datetime,
    basis: str = "",
) -> ReproductiveSpell:
    """Note that an animal is in another reproductive state from a local day on.

    Reviews that judged it since are marked stale.

    Args:
        animal: in care.
        state: gravid begins a spell. Resting ends the one that is open; its last
            day is the day before, or its first day where both are the same. So for
            a female that laid, `on` is the day after laying.
        on: the first day of the new state; not to come, but that one that laid today
            may rest from tomorrow on.
        by: the person.
        at: now.
        basis: what it was seen by, up to 200 characters.

    Returns:
        The spell that began or ended.

    Raises:
        ReproductionError: a male, an animal that has left, a state that it is in
            already, or a day that cannot be.
    """
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    _check(animal, state=state, on=on, today=local_day_of(animal=animal, at=at))
    if len(basis) > LONGEST_BASIS:
        raise ReproductionError(
            f"The basis has {len(basis)} characters; at most {LONGEST_BASIS} are kept.",
            fields={"basis": f"at most {LONGEST_BASIS} characters"},
        )
    last = ReproductiveSpell.objects.filter(animal=animal).order_by("-from_on").first()
    is_open = last is not None and last.until_on is None
    before = audit.values(last, "state", "from_on") if last and is_open else {}
    if state is Reproduction.RESTING:
        spell = _end(animal, last if is_open else None, on=on, basis=basis)
    else:
        spell = _begin(animal, last, state=state, on=on, basis=basis)
    start_s, _ = day_bounds(on, zone=zone_of(animal=animal, at=at))
    since_at = datetime.fromtimestamp(start_s, at.tzinfo)
    mark_animal_stale(animal=animal, since_at=since_at, at=at)
    audit.record(
        animal,
        verb="record_reproductive_state",
        by=by,
        at=at,
        before=before,
        after={"state": state.value, "on": on, "basis": basis},
    )
    return spell


def _check(animal: Animal, *, state: Reproduction, on: date, today: date) -> None:
    if animal.status != AnimalStatus.IN_CARE:
        raise ReproductionError(
            not_in_care(str(animal), AnimalStatus(animal.status)),
            fields={"animal": "one in care"},
        )
    # One that laid today rests from tomorrow on.
    resting = state is Reproduction.RESTING
    latest_on = today + timedelta(days=1) if resting else today
    if on > latest_on:
        raise ReproductionError(
            f"{on:%d %b %Y} has not come yet.", fields={"on": f"until {latest_on}"}
        )
    if state is Reproduction.GRAVID and animal.sex == Sex.MALE:
        raise ReproductionError(
            f"{animal} is on record as male and cannot be gravid. Correct the sex "
            "first if that is wrong.",
            fields={"state": Reproduction.RESTING.value},
        )


def _begin(
    animal: Animal,
    last: ReproductiveSpell | None,
    *,
    state: Reproduction,
    on: date,
    basis: str,
) -> ReproductiveSpell:
    if last is not None and last.until_on is None:
        raise ReproductionError(
            f"{animal} is {last.state} since {last.from_on:%d %b %Y} already.",
            fields={"state": Reproduction.RESTING.value},
        )
    if last is not None and last.until_on is not None and on <= last.until_on:
        raise ReproductionError(
            f"{animal} was {last.state} until {last.until_on:%d %b %Y}; a new spell "
            "can only begin after that.",
            fields={"on": f"later than {last.until_on}"},
        )
    return ReproductiveSpell.objects.create(
        animal=animal, state=state.value, from_on=on, basis=basis
    )


def _end(
    animal: Animal, spell: ReproductiveSpell | None, *, on: date, basis: str
) -> ReproductiveSpell:
    if spell is None:
        raise ReproductionError(
            f"{animal} is resting already.",
            fields={"state": Reproduction.GRAVID.value},
        )
    if on < spell.from_on:
        raise ReproductionError(
            f"{animal} is {spell.state} since {spell.from_on:%d %b %Y} and cannot "
            f"have rested on {on:%d %b %Y}.",
            fields={"on": f"{spell.from_on} or later"},
        )
    spell.until_on = max(spell.from_on, on - timedelta(days=1))
    if basis:
        spell.basis = "; ".join(b for b in (spell.basis, basis) if b)[:LONGEST_BASIS]
    spell.save(update_fields=["until_on", "basis"])
    return spell
