"""What a site may decide, and what it changes of profile and night."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from husbandry.rules.findings import Seen
from husbandry.rules.policies import (
    ALWAYS_ON,
    LIMITS,
    POLICY_SOURCE,
    Policy,
    PolicyError,
    check_policy,
    decided,
    tuned,
)
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.values import Profile
from husbandry.rules.vocabulary import FindingKind, Urgency

K = FindingKind
FROM = date(2026, 3, 1)


@pytest.fixture(scope="module")
def profile() -> Profile:
    path = Path("husbandry/profiles/veiled_chameleon.yaml")
    return read_profile(path.read_text(encoding="utf-8"), name=path.name)


def policy(kind: FindingKind, **limits: str) -> Policy:
    return Policy(
        kind=kind,
        from_on=FROM,
        switched_on=True,
        urgency=None,
        limits=tuple((name, Decimal(text)) for name, text in limits.items()),
        word="Ilda: small animals lose little",
    )


def test_every_limit_stands_in_the_profile(profile: Profile) -> None:
    for kind, limits in LIMITS.items():
        for name, wanted in limits.items():
            section = getattr(profile, wanted.section)
            rows = section if isinstance(section, tuple) else (section,)
            assert any(hasattr(row, name) for row in rows), (kind, name)


def test_a_limit_replaces_the_profiles_with_the_sites_word(profile: Profile) -> None:
    found = tuned(profile, [policy(K.WEIGHT_LOSS, loss_watch_pct="3.5")])

    assert found.weight_policy.loss_watch_pct == Decimal("3.5")
    assert found.weight_policy.loss_now_pct == profile.weight_policy.loss_now_pct
    word = found.weight_policy.provenance
    assert (word.source, word.note, word.reviewed_on) == (
        POLICY_SOURCE,
        "Ilda: small animals lose little",
        FROM,
    )
    assert replace(found, weight_policy=profile.weight_policy) == profile


def test_a_limit_of_rows_replaces_it_in_each_row_that_has_it(profile: Profile) -> None:
    found = tuned(profile, [policy(K.TOO_MUCH_D3, most_a_month="1")])

    limits = {s.id: s.most_a_month for s in found.supplements}
    assert limits == {"plain-calcium": None, "multivitamin-d3": 1}


def test_a_whole_limit_is_a_whole_number(profile: Profile) -> None:
    found = tuned(profile, [policy(K.GROWTH_STALLED, stall_days="10")])

    assert found.weight_policy.stall_days == 10
    assert isinstance(found.weight_policy.stall_days, int)


def test_a_section_that_the_profile_lacks_is_not_made_up(profile: Profile) -> None:
    bare = replace(profile, dosing=None)

    assert tuned(bare, [policy(K.DOSE_UNSAFE, weight_max_age_days="3")]) == bare


def test_no_policy_changes_nothing(profile: Profile) -> None:
    assert tuned(profile, []) == profile
    assert tuned(profile, [policy(K.WEIGHT_LOSS)]) == profile


@pytest.mark.parametrize(
    ("kind", "limits", "said"),
    [
        (K.WEIGHT_LOSS, {"loss_pct": "3"}, "There are: loss_watch_pct,"),
        (K.NO_DATA, {"loss_watch_pct": "3"}, "There are: none."),
        (K.WEIGHT_LOSS, {"loss_watch_pct": "0"}, "0.1 to 99 % would be"),
        (K.WEIGHT_LOSS, {"loss_watch_pct": "100"}, "0.1 to 99 % would be"),
        (K.WEIGHT_LOSS, {"loss_watch_pct": "NaN"}, "0.1 to 99 % would be"),
        (K.WEIGHT_LOSS, {"loss_watch_days": "2.5"}, "a whole number"),
        (K.GROWTH_BEHIND, {"behind_z": "2"}, "-6 to -0.5 z-score"),
    ],
)
def test_a_limit_that_cannot_be_is_refused(
    kind: FindingKind, limits: dict[str, str], said: str
) -> None:
    given = {name: Decimal(text) for name, text in limits.items()}

    with pytest.raises(PolicyError, match=said):
        check_policy(kind, switched_on=True, limits=given)


def test_limits_at_both_ends_are_taken() -> None:
    given = {"loss_watch_pct": Decimal("0.1"), "loss_now_pct": Decimal("99.0")}

    found = check_policy(K.WEIGHT_LOSS, switched_on=True, limits=given)

    assert found == given


@pytest.mark.parametrize("kind", sorted(ALWAYS_ON))
def test_what_nobody_may_miss_cannot_be_switched_off(kind: FindingKind) -> None:
    with pytest.raises(PolicyError, match="cannot be switched off"):
        check_policy(kind, switched_on=False, limits={})


def seen(kind: FindingKind) -> Seen:
    return Seen(f"{kind.value}:animal:1", kind, Urgency.TODAY, True, 1, None, None, {})


def test_a_night_is_told_as_the_site_wants_to_hear_it() -> None:
    off = replace(policy(K.IN_SIGHT), switched_on=False)
    urgent = replace(policy(K.NO_DATA), urgency=Urgency.NOW)
    night = [seen(K.IN_SIGHT), seen(K.NO_DATA), seen(K.WEIGHT_LOSS)]

    found = decided(night, {K.IN_SIGHT: off, K.NO_DATA: urgent})

    assert [(s.kind, s.urgency) for s in found] == [
        (K.NO_DATA, Urgency.NOW),
        (K.WEIGHT_LOSS, Urgency.TODAY),
    ]


@pytest.mark.parametrize(
    ("kind", "set_to", "found", "told"),
    [
        (K.SIGN_SEEN, Urgency.WATCH, Urgency.NOW, Urgency.NOW),
        (K.SIGN_SEEN, Urgency.NOW, Urgency.WATCH, Urgency.NOW),
        (K.DOSE_MISSED, Urgency.WATCH, Urgency.TODAY, Urgency.TODAY),
        (K.LAMP_WORN, Urgency.WATCH, Urgency.TODAY, Urgency.WATCH),
        (K.LAMP_WORN, None, Urgency.TODAY, Urgency.TODAY),
        (K.SIGN_SEEN, None, Urgency.NOW, Urgency.NOW),
    ],
)
def test_an_emergency_is_never_made_less_urgent(
    kind: FindingKind, set_to: Urgency | None, found: Urgency, told: Urgency
) -> None:
    one = replace(policy(kind), urgency=set_to)

    assert one.urgency_of(found) is told
    (shown,) = decided([replace(seen(kind), urgency=found)], {kind: one})
    assert shown.urgency is told
