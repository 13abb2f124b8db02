"""Which words go with which kind of observation; none of them is a diagnosis."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from core.errors import DomainError
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import ObservationKind, Observed, Sex, Urates

MOST_EGGS = 500
LONGEST_LOOK_AHEAD_DAYS = 366

WORDS: Mapping[ObservationKind, tuple[Observed, ...]] = MappingProxyType(
    {
        ObservationKind.SIGN: (Observed.PRESENT, Observed.GONE),
        ObservationKind.SHED: (Observed.WHOLE, Observed.IN_PATCHES, Observed.STUCK),
        ObservationKind.DROPPINGS: (
            Observed.FORMED,
            Observed.LOOSE,
            Observed.BLOODY,
        ),
        ObservationKind.DIGGING: (Observed.BEGUN, Observed.STOPPED, Observed.FINISHED),
        ObservationKind.LAYING: (Observed.BEGUN, Observed.STOPPED, Observed.FINISHED),
        ObservationKind.ALERTNESS: (Observed.BRIGHT, Observed.WEAK),
        ObservationKind.CONDITION: (Observed.LEAN, Observed.GOOD, Observed.HEAVY),
        ObservationKind.NOTE: (),
    }
)


class ObservationError(DomainError):
    """An observation cannot be recorded as given."""

    code = "observation_refused"


@dataclass(frozen=True, slots=True)
class Seen:
    """What somebody says that they saw of an animal; None and "": not said.

    Attributes:
        sign: id of a warning sign of the profile.
        eggs: how many so far.
        look_again_on: the local day on which somebody must look again.
    """

    kind: ObservationKind
    sign: str = ""
    observed: Observed | None = None
    urates: Urates | None = None
    eggs: int | None = None
    look_again_on: date | None = None
    note: str = ""


def check_observation(
    seen: Seen,
    *,
    profile: Profile | None,
    sex: Sex,
    on: date,
    signs_on_record: Collection[str] = (),
) -> None:
    """Refuse what does not fit together, or does not fit the animal.

    Args:
        seen: what was said.
        profile: in force for the animal on the day; None: nothing is published.
        sex: the animal's.
        on: the local day of the observation.
        signs_on_record: what was seen of the animal before. Such a sign can be gone
            although the profile names it no more, or its finding would never close.

    Raises:
        ObservationError: the sentence names what does not fit and what would.

    Source:
        House rule: more than 500 eggs, or looking again after more than a year, is
        taken for a slip of the hand.
    """
    if not (seen.observed is Observed.GONE and seen.sign in signs_on_record):
        _check_sign(seen, profile)
    _check_word(seen)
    _check_urates(seen)
    _check_eggs(seen, sex)
    _check_look_again(seen, on)


def _check_sign(seen: Seen, profile: Profile | None) -> None:
    if seen.kind is not ObservationKind.SIGN:
        if seen.sign:
            raise ObservationError(
                f"The warning sign {seen.sign!r} goes with the kind sign, not with "
                f"{seen.kind}. Leave it out, or record it as a sign.",
                fields={"sign": "empty"},
            )
        return
    known = [sign.id for sign in profile.warning_signs] if profile else []
    if not known:
        raise ObservationError(
            "The care profile of its species lists no warning signs, so nothing can "
            "say how urgent this one is. Record it as a note, and ask a licensed "
            "reptile vet.",
            fields={"kind": ObservationKind.NOTE.value},
        )
    if seen.sign not in known:
        raise ObservationError(
            f"{seen.sign!r} is no warning sign of its profile. Name one of "
            f"{', '.join(known)}; record anything else as a note.",
            fields={"sign": f"one of {', '.join(known)}"},
        )


def _check_word(seen: Seen) -> None:
    words, kind = WORDS[seen.kind], seen.kind
    if not words:
        if seen.observed is not None:
            raise ObservationError(
                f"The word {seen.observed} does not go with a {kind}: leave it out, and "
                "say in the note what was seen.",
                fields={"observed": "empty"},
            )
        if not seen.note.strip():
            raise ObservationError(
                f"A {kind} says in words what was seen.", fields={"note": "not blank"}
            )
        return
    if seen.observed in words:
        return
    if seen.observed is None and seen.urates is not None:
        return
    said = ", ".join(words)
    if seen.observed is None:
        sentence = f"Say how it was: with {kind} goes one of {said}."
    else:
        sentence = (
            f"The word {seen.observed} does not go with {kind}: use one of {said}."
        )
    raise ObservationError(sentence, fields={"observed": f"one of {said}"})


def _check_urates(seen: Seen) -> None:
    if seen.urates is not None and seen.kind is not ObservationKind.DROPPINGS:
        raise ObservationError(
            f"Urates are seen among droppings, not with {seen.kind}. Leave them out, or "
            "record droppings.",
            fields={"urates": "empty"},
        )


def _check_eggs(seen: Seen, sex: Sex) -> None:
    if seen.kind is ObservationKind.LAYING and sex is Sex.MALE:
        raise ObservationError(
            "It is on record as male and cannot have laid. Correct the sex first if "
            "that is wrong.",
            fields={"kind": "not laying"},
        )
    if seen.eggs is None:
        return
    if seen.kind is not ObservationKind.LAYING:
        raise ObservationError(
            f"Eggs are counted with laying, not with {seen.kind}. Leave them out, or "
            "record laying.",
            fields={"eggs": "empty"},
        )
    if not 0 <= seen.eggs <= MOST_EGGS:
        raise ObservationError(
            f"{seen.eggs} eggs cannot be: give 0 to {MOST_EGGS}, as many as are seen.",
            fields={"eggs": f"0 to {MOST_EGGS}, or empty"},
        )


def _check_look_again(seen: Seen, on: date) -> None:
    if seen.look_again_on is None:
        return
    days = (seen.look_again_on - on).days
    if not 1 <= days <= LONGEST_LOOK_AHEAD_DAYS:
        raise ObservationError(
            f"To look again on {seen.look_again_on:%d %b %Y} does not fit what was seen "
            f"on {on:%d %b %Y}: give a later day, at most {LONGEST_LOOK_AHEAD_DAYS} "
            "days later, or leave it empty.",
            fields={"look_again_on": f"later than {on}"},
        )


def remark_on_laying(label: str, *, gravid_from_on: date) -> str:
    """Say that a female that has laid is still on record as gravid.

    Args:
        label: how she is called.
        gravid_from_on: the first day of her open spell.
    """
    return (
        f"{label} is on record as gravid since {gravid_from_on:%d %b %Y}. If she has "
        "laid all her eggs, record that she is resting again from the day after on."
    )
