"""How newcomers are kept apart: the shipped policy, and what a site may set instead."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from core.errors import DomainError
from husbandry.rules.vocabulary import HealthTestKind
from placements.rules.vocabulary import IntakeSource

LONGEST_DAYS = 730
MOST_TESTS = 10
LONGEST_GROUP = 40


class QuarantinePolicyError(DomainError):
    """A policy on quarantine cannot be as given."""

    code = "quarantine_policy_refused"


@dataclass(frozen=True, slots=True)
class QuarantineRule:
    """What has to be so before an animal of a species goes out of quarantine.

    Attributes:
        needed: newcomers are put into quarantine at all.
        group: a newcomer of the same group restarts the clock of those it meets.
        days: at least so many, since the clock was last restarted.
        tests: so many without findings, one after the other; 0: none is asked.
        tests_apart_days: at least so many days from one to the next.
        weight_days: so many days back the weight has to be steady; 0: not asked.
        most_loss_pct: loss over those days that is still steady, percent.
        reason: why it is so.
        source: a key of docs/sources.md for the shipped policy; "" for one of the
            house's own.
    """

    needed: bool
    group: str
    days: int
    tests: int
    test_kind: HealthTestKind
    tests_apart_days: int
    weight_days: int
    most_loss_pct: Decimal
    reason: str
    source: str = ""

    @property
    def is_shipped(self) -> bool:
        """Say whether it came with the program."""
        return bool(self.source)


# Thirty days and the clock that restarts are published guidance; that the weight is
# held to the same loss that the weight review looks at again is this project's choice.
SHIPPED = QuarantineRule(
    needed=True,
    group="reptiles",
    days=30,
    tests=0,
    test_kind=HealthTestKind.FAECAL,
    tests_apart_days=14,
    weight_days=14,
    most_loss_pct=Decimal(5),
    reason="At least 30 days under a vet, by published guidance. It asks for no tests: "
    "agree with a reptile vet on which, for days alone clear nobody of a pathogen.",
    source="quarantine-guidance",
)


def rule_for(
    species: int, rules: Mapping[int | None, QuarantineRule]
) -> QuarantineRule:
    """Return the policy that holds for a species.

    Args:
        species: its key.
        rules: the house's own, by species; None: for all that have none.

    Returns:
        The species' own, else the house's for all, else the shipped one.

    Source:
        quarantine-guidance, weight-loss-convention.
    """
    own = rules.get(species) or rules.get(None)
    return SHIPPED if own is None else own


def is_kept_apart_on_arrival(rule: QuarantineRule, source: IntakeSource) -> bool:
    """Say whether an animal that came in some way is put into quarantine.

    Args:
        rule: of its species.
        source: how it came; one born here met nobody elsewhere.
    """
    return rule.needed and source is not IntakeSource.BORN_HERE


def check_policy(rule: QuarantineRule) -> None:
    """Refuse a policy that cannot hold.

    Args:
        rule: as it is to be.

    Raises:
        QuarantinePolicyError: the sentence says which value, why, and what would be
            accepted.
    """
    for field, text in (("group", rule.group), ("reason", rule.reason)):
        if not text.strip():
            raise QuarantinePolicyError(
                f"A policy on quarantine needs a {field}.",
                fields={field: "not blank"},
            )
    if len(rule.group) > LONGEST_GROUP:
        raise QuarantinePolicyError(
            f"The name of a group has at most {LONGEST_GROUP} characters; this one has "
            f"{len(rule.group)}.",
            fields={"group": f"at most {LONGEST_GROUP} characters"},
        )
    _check_number("days", rule.days, low=1 if rule.needed else 0, high=LONGEST_DAYS)
    _check_number("tests", rule.tests, high=MOST_TESTS)
    _check_number("tests_apart_days", rule.tests_apart_days, high=LONGEST_DAYS)
    _check_number("weight_days", rule.weight_days, high=LONGEST_DAYS)
    if not (rule.most_loss_pct.is_finite() and 0 <= rule.most_loss_pct < 100):
        raise QuarantinePolicyError(
            f"most_loss_pct cannot be {rule.most_loss_pct}: 0 to less than 100 % would "
            "be.",
            fields={"most_loss_pct": "0 to less than 100 %"},
        )


def _check_number(field: str, value: int, *, low: int = 0, high: int) -> None:
    if not low <= value <= high:
        raise QuarantinePolicyError(
            f"{field} cannot be {value}: {low} to {high} would be.",
            fields={field: f"{low} to {high}"},
        )
