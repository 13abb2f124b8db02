"""What to mind at an animal before the hands go in."""

from datetime import date, timedelta

from husbandry.rules.care.facts import CaredAnimal, CaredRoom
from husbandry.rules.profiles.values import Profile
from husbandry.rules.round_sheets import RoundNote
from husbandry.rules.vocabulary import FeedingOrderKind, RoundNoteKind


def notes_of(
    animal: CaredAnimal, *, room: CaredRoom, on: date
) -> tuple[RoundNote, ...]:
    """Return what to mind at an animal on a day, the whole room's last.

    Args:
        animal: with its gravid spells, orders and profile.
        room: where it is.
        on: the local day.

    Returns:
        Settling in, for as many days as the profile says, the day of arrival as the
        first; an animal that came on the day it hatched is no newcomer. Gravid,
        since when. Quarantine, since when it is kept apart, or for as long as the
        room is one. Fasting, from when until when and why.

    Source:
        common-practice; quarantine-guidance.
    """
    found = (
        _settling(animal, animal.profile, on) if animal.profile else None,
        _gravid(animal, on),
        _fasting(animal, on),
        _kept_apart(animal, room),
    )
    return tuple(note for note in found if note is not None)


def _settling(animal: CaredAnimal, profile: Profile, on: date) -> RoundNote | None:
    rule = profile.settling
    if rule is None or animal.arrived_on == animal.hatched_on:
        return None
    last_on = animal.arrived_on + timedelta(days=rule.days - 1)
    if not animal.arrived_on <= on <= last_on:
        return None
    return RoundNote(
        RoundNoteKind.SETTLING_IN,
        animal.arrived_on,
        last_on,
        rule.text,
        rule.id,
        rule.provenance,
    )


def _kept_apart(animal: CaredAnimal, room: CaredRoom) -> RoundNote | None:
    if animal.kept_apart_since is None and not room.quarantine:
        return None
    return RoundNote(RoundNoteKind.QUARANTINE, animal.kept_apart_since, None)


def _gravid(animal: CaredAnimal, on: date) -> RoundNote | None:
    for spell in animal.gravid:
        if spell.from_on <= on and (spell.until_on is None or on <= spell.until_on):
            # A last day that lies ahead of the sheet's was not known on that day.
            return RoundNote(RoundNoteKind.GRAVID, spell.from_on, None)
    return None


def _fasting(animal: CaredAnimal, on: date) -> RoundNote | None:
    for order in animal.orders:
        if (
            order.kind is FeedingOrderKind.FAST
            and order.from_on <= on <= order.until_on
        ):
            reason = f"{order.by}: {order.reason}" if order.by else order.reason
            return RoundNote(
                RoundNoteKind.FASTING, order.from_on, order.until_on, reason
            )
    return None
