"""One value that an animal needs, and on whose word it stands."""

from dataclasses import dataclass

from husbandry.rules.policies import POLICY_SOURCE
from husbandry.rules.profiles.resolving import OVERRIDE_SOURCE
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.sentences import names
from staff.units import day

AGREED = {
    OVERRIDE_SOURCE: "Agreed for this animal",
    POLICY_SOURCE: "Decided for this site",
}


@dataclass(frozen=True, slots=True)
class Need:
    """One value with its source.

    Attributes:
        source: title, standing, and when somebody last looked.
        note: what the source leaves open; may be empty.
        others: what other sources say instead.
    """

    what: str
    value: str
    source: str
    note: str
    others: tuple[str, ...]


def sourced(
    what: str,
    value: str,
    given: Provenance,
    profile: Profile,
    others: tuple[str, ...] = (),
) -> Need:
    """Return a value, and on whose word it stands: the profile's or somebody's here."""
    standing = names.STANDINGS[given.standing]
    source = AGREED.get(
        given.source,
        f"{title(given.source, profile)} ({standing}; looked at "
        f"{day(given.reviewed_on)})",
    )
    return Need(what, value, source, given.note, others)


def title(key: str, profile: Profile) -> str:
    """Return a source's title, or its key where the profile does not explain it."""
    return next((s.title for s in profile.sources if s.key == key), key)
