"""What food is known by a profile, and what to say of a feeding that is kept anyway.

A feeding that was given was given: what is unwise about it is remarked on, never
refused.
"""

from collections.abc import Collection
from datetime import date

from husbandry.rules.care_entries import LONGEST_FEEDER, FeedingError
from husbandry.rules.profiles.values import FeederNote, Profile, SupplementRule
from husbandry.rules.profiles.vocabulary import FeederUse


def check_food(
    profile: Profile | None, *, feeder: str, supplements: Collection[str]
) -> None:
    """Refuse food that the profile does not know.

    Args:
        profile: in force on the day; None: no profile is published, then any word
            of up to 60 characters is kept.
        feeder: id of a feeder row.
        supplements: ids of supplement rows; may be empty.

    Raises:
        FeedingError: it names what is not known and lists what is.
    """
    if profile is None:
        _check_word("feeder", feeder)
        for supplement in supplements:
            _check_word("supplements", supplement)
        return
    feeders = [row.id for row in profile.feeders]
    if feeder not in feeders:
        raise FeedingError(
            f"The profile of the {profile.common_name.lower()} knows no feeder "
            f"{feeder!r}. It knows {', '.join(feeders) or 'none'}.",
            fields={"feeder": f"one of {', '.join(feeders)}"},
        )
    known = [row.id for row in profile.supplements]
    for supplement in supplements:
        if supplement not in known:
            raise FeedingError(
                f"The profile of the {profile.common_name.lower()} knows no supplement "
                f"{supplement!r}. It knows {', '.join(known) or 'none'}.",
                fields={"supplements": f"some of {', '.join(known)}"},
            )


def _check_word(field: str, word: str) -> None:
    if not 0 < len(word) <= LONGEST_FEEDER:
        raise FeedingError(
            f"{word!r} does not name what was given: use 1 to {LONGEST_FEEDER} "
            "characters.",
            fields={field: f"1 to {LONGEST_FEEDER} characters"},
        )


def remarks_on_food(
    profile: Profile | None, *, feeder: str, age_days: int | None
) -> tuple[str, ...]:
    """Say what is unwise about a feeder for an animal of an age.

    Args:
        profile: in force on the day; None: nobody could check.
        feeder: known to it.
        age_days: since hatching; None: not known, then age is not judged.
    """
    if profile is None:
        return (
            "No care profile is published for its species, so nobody checked whether "
            "this food suits it.",
        )
    note = next((row for row in profile.feeders if row.id == feeder), None)
    if note is None:
        return ()
    if note.use is FeederUse.NEVER:
        return (_with_text(f"By its profile, {note.name} are never fed.", note),)
    if age_days is not None and age_days < note.from_days:
        return (
            f"By its profile, {note.name} are a {note.use} from day {note.from_days} "
            f"on; it was {age_days} days old.",
        )
    return ()


def _with_text(sentence: str, note: FeederNote) -> str:
    return f"{sentence} {note.text}".strip()


def remark_on_fast(*, from_on: date, until_on: date, reason: str) -> str:
    """Say that nothing was to be offered.

    Args:
        from_on: the first day of the fast.
        until_on: its last day.
        reason: why it was ordered.
    """
    return (
        f"A fast is ordered from {from_on:%d %b %Y} to {until_on:%d %b %Y}: {reason} "
        "Tell whoever ordered it that it was fed."
    )


def d3_supplements(profile: Profile) -> dict[str, SupplementRule]:
    """Return the supplements of a profile that contain vitamin D3, by id."""
    return {row.id: row for row in profile.supplements if row.contains_d3}


def remark_on_d3(rules: Collection[SupplementRule], *, days: int, on: date) -> str:
    """Say that vitamin D3 was given on more days of a month than its profile wants.

    Args:
        rules: of the supplements with D3 that this feeding was dusted with.
        days: on how many days of the calendar month D3 was given, this one included.
        on: the day of this feeding.

    Returns:
        The sentence; "" up to and with the most that is wanted, and where the
        profile sets no limit.
    """
    limits = [r.most_a_month for r in rules if r.most_a_month is not None]
    if not limits or days <= min(limits):
        return ""
    return (
        f"That makes {days} days with vitamin D3 in {on:%B %Y}; its profile wants at "
        f"most {min(limits)} a month. Too much D3 is toxic: leave it out for the rest "
        "of the month, and ask a licensed reptile vet if it is given often."
    )
