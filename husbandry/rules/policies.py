"""What a site may decide about the review: which findings, how urgent, which limits.

A limit that a site sets stands in place of the profile's, with the site's own word
as its provenance; everything that judges by the profile then judges by it.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from core.errors import DomainError
from husbandry.rules.findings import URGENCY_ORDER, Seen
from husbandry.rules.profiles.values import Profile, Provenance
from husbandry.rules.vocabulary import FindingKind, Standing, Urgency

K = FindingKind
POLICY_SOURCE = "policy-of-this-site"
# That an animal could not be judged at all must reach somebody.
ALWAYS_ON = frozenset({K.NOT_REVIEWED, K.NO_PROFILE})
# Of these the review itself tells an emergency from the rest: a site may make them more
# urgent, never less.
NEVER_LESS = frozenset(
    {
        *(K.SIGN_SEEN, K.LAYING_TROUBLE, K.WEIGHT_LOSS, K.FEEDING_MISSED),
        *(K.DOSE_MISSED, K.DOSE_UNSAFE, K.TEST_FOUND, K.TOO_MUCH_D3),
        *(K.NO_LAYING_BIN, K.ABOVE_TARGET, K.BELOW_TARGET),
        *(K.EGGS_TOO_WARM, K.LAYING_OVERDUE),
    }
)


class PolicyError(DomainError):
    """A policy cannot be as given."""

    code = "policy_refused"


@dataclass(frozen=True, slots=True)
class LimitRange:
    """What a limit may be: its unit, and from where to where, both included.

    Attributes:
        whole: only whole numbers.
        section: the part of the profile that it stands in.
    """

    section: str
    unit: str
    low: Decimal
    high: Decimal
    whole: bool = True


def _days(section: str, low: int = 1, high: int = 365) -> LimitRange:
    return LimitRange(section, "days", Decimal(low), Decimal(high))


_PERCENT = LimitRange("weight_policy", "%", Decimal("0.1"), Decimal(99), whole=False)
LIMITS: dict[FindingKind, dict[str, LimitRange]] = {
    K.WEIGHT_LOSS: {
        "loss_watch_pct": _PERCENT,
        "loss_watch_days": _days("weight_policy"),
        "loss_now_pct": _PERCENT,
        "loss_now_days": _days("weight_policy"),
        "shed_days": _days("weight_policy", low=0),
    },
    K.GROWTH_STALLED: {
        "stall_days": _days("weight_policy"),
        "stall_min_weighings": LimitRange(
            "weight_policy", "weighings", Decimal(2), Decimal(100)
        ),
    },
    K.GROWTH_BEHIND: {
        "behind_mads": LimitRange(
            "growth_policy", "deviations", Decimal("0.5"), Decimal(10), whole=False
        ),
        "behind_z": LimitRange(
            "growth_policy", "z-score", Decimal(-6), Decimal("-0.5"), whole=False
        ),
        "mates_least": LimitRange("growth_policy", "mates", Decimal(3), Decimal(100)),
        "mates_within_days": _days("growth_policy", high=30),
    },
    K.WEIGHING_OVERDUE: {"overdue_after_days": _days("weighing")},
    K.TOO_MUCH_D3: {
        "most_a_month": LimitRange("supplements", "days", Decimal(1), Decimal(31))
    },
    K.UV_CHECK_OVERDUE: {"meter_every_days": _days("lamps")},
    K.LAMP_WORN: {
        "replace_after_months": LimitRange("lamps", "months", Decimal(1), Decimal(60)),
        "replace_after_hours": LimitRange(
            "lamps", "hours", Decimal(100), Decimal(50_000)
        ),
    },
    K.DOSE_UNSAFE: {"weight_max_age_days": _days("dosing", high=90)},
}


@dataclass(frozen=True, slots=True)
class Policy:
    """What a site decided about one kind of finding.

    Attributes:
        urgency: in place of the one that the review finds, but never less than that
            for the kinds in `NEVER_LESS`; None: as it finds it.
        limits: by name, in the units of `LIMITS`.
        word: by whom and why, for the provenance of its limits.
    """

    kind: FindingKind
    from_on: date
    switched_on: bool
    urgency: Urgency | None
    limits: tuple[tuple[str, Decimal], ...]
    word: str

    def urgency_of(self, found: Urgency) -> Urgency:
        """Return how urgent a finding of the kind is, found as urgent as this."""
        if self.urgency is None:
            return found
        if self.kind in NEVER_LESS:
            return min(self.urgency, found, key=URGENCY_ORDER.__getitem__)
        return self.urgency


def check_policy(
    kind: FindingKind, *, switched_on: bool, limits: Mapping[str, Decimal]
) -> dict[str, Decimal]:
    """Refuse a policy that cannot hold.

    Args:
        kind: which finding.
        switched_on: False: the review keeps it to itself.
        limits: by name.

    Returns:
        The limits, whole numbers without decimals.

    Raises:
        PolicyError: the sentence says which limits there are and what they may be.
    """
    if not switched_on and kind in ALWAYS_ON:
        raise PolicyError(
            f"{kind.value!r} cannot be switched off: it says that an animal was "
            "judged by nobody.",
            fields={"switched_on": "true"},
        )
    known = LIMITS.get(kind, {})
    return {name: _checked(kind, name, value, known) for name, value in limits.items()}


def _checked(
    kind: FindingKind, name: str, value: Decimal, known: Mapping[str, LimitRange]
) -> Decimal:
    if name not in known:
        names = ", ".join(known) or "none"
        raise PolicyError(
            f"{kind.value!r} has no limit {name!r}. There are: {names}.",
            fields={"limits": names},
        )
    wanted = known[name]
    span = f"{wanted.low:f} to {wanted.high:f} {wanted.unit}"
    whole = value.is_finite() and value == value.to_integral_value()
    if not value.is_finite() or not wanted.low <= value <= wanted.high:
        raise PolicyError(
            f"{name} cannot be {value}: {span} would be.", fields={name: span}
        )
    if wanted.whole and not whole:
        raise PolicyError(
            f"{name} cannot be {value}: a whole number, {span}, would be.",
            fields={name: f"a whole number, {span}"},
        )
    return value.to_integral_value() if wanted.whole else value


def tuned(profile: Profile, policies: Iterable[Policy]) -> Profile:
    """Return a care profile with the limits that a site has set instead.

    Args:
        profile: as it was published.
        policies: those in force; one that sets no limits changes nothing.

    Returns:
        A profile whose changed rows carry the site's word as their provenance. A
        section that the profile does not have is not made up.
    """
    for policy in policies:
        by_section: dict[str, dict[str, Any]] = {}
        for name, value in policy.limits:
            wanted = LIMITS[policy.kind][name]
            given = int(value) if wanted.whole else value
            by_section.setdefault(wanted.section, {})[name] = given
        for section, changes in by_section.items():
            profile = _with(profile, section, changes, _provenance(policy))
    return profile


def _with(
    profile: Profile, section: str, changes: Mapping[str, Any], word: Provenance
) -> Profile:
    old: Any = getattr(profile, section)
    new: Any
    if isinstance(old, tuple):
        new = tuple(_row(row, changes, word) for row in old)
    else:
        new = None if old is None else replace(old, **changes, provenance=word)
    sections: dict[str, Any] = {section: new}
    return replace(profile, **sections)


def _row(row: Any, changes: Mapping[str, Any], word: Provenance) -> Any:
    """Return a row with the limits that it has; one without them is left alone."""
    has = {k: v for k, v in changes.items() if getattr(row, k, None) is not None}
    return replace(row, **has, provenance=word) if has else row


def _provenance(policy: Policy) -> Provenance:
    return Provenance(
        source=POLICY_SOURCE,
        standing=Standing.FROM_MEMORY,
        reviewed_on=policy.from_on,
        note=policy.word,
    )


def decided(seen: Iterable[Seen], policies: Mapping[FindingKind, Policy]) -> list[Seen]:
    """Return what a night saw as a site wants to hear of it.

    Args:
        seen: sightings; those of a kind that is switched off are left out, so that
            an open finding of it closes.
        policies: by kind.
    """
    kept = []
    for one in seen:
        policy = policies.get(one.kind)
        if policy is None:
            kept.append(one)
        elif policy.switched_on:
            kept.append(replace(one, urgency=policy.urgency_of(one.urgency)))
    return kept
