"""On which days one animal is fed: by its profile, or as was agreed for it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from husbandry.rules.care.facts import CaredAnimal, OrderFact
from husbandry.rules.care.feeding_days import feeding_days
from husbandry.rules.care.stage_rules import ProfileRules, Span, StageRules, spans
from husbandry.rules.vocabulary import FeedingOrderKind


@dataclass(frozen=True, slots=True)
class FeedingSlot:
    """One feeding day.

    Attributes:
        rules: of the life stage on that day; None: no profile, or no stage.
        order: the agreement that makes it a feeding day; None: the profile does.
    """

    on: date
    rules: StageRules | None
    order: OrderFact | None

    @property
    def assisted(self) -> bool:
        """Say whether it is fed by hand, as was agreed."""
        return self.order is not None and self.order.kind is FeedingOrderKind.ASSIST


def feeding_slots(
    animal: CaredAnimal, rules: ProfileRules | None, *, from_on: date, until_on: date
) -> tuple[FeedingSlot, ...]:
    """Return the feeding days of one animal in a range, in order.

    Of several agreements for one day fasting wins, whenever it was agreed: food
    before surgery does harm. Of the others the later begun wins, then the later
    made.

    Args:
        animal: with what was agreed for it.
        rules: of its profile; None: only agreements make feeding days.
        from_on: first day of the range; days before it arrived are left out.
        until_on: last day of the range.

    Source:
        care-task-convention
    """
    first_on = max(from_on, animal.arrived_on)
    cut = (
        spans(rules, hatched_on=animal.hatched_on, from_on=first_on, until_on=until_on)
        if rules
        else ()
    )
    by_profile = [slot for span in cut for slot in _by_profile(span)]
    if not animal.orders:
        return tuple(by_profile)
    slots = {slot.on: slot for slot in by_profile}
    for order in sorted(animal.orders, key=_precedence):
        _agree(slots, order, cut, max(order.from_on, first_on), until_on)
    return tuple(slots[on] for on in sorted(slots))


def longest_days(animal: CaredAnimal, rules: ProfileRules | None) -> int:
    """Return the longest interval between feedings that may hold for an animal."""
    agreed = [order.every_days or 0 for order in animal.orders]
    return max([rules.longest_feeding_days if rules else 0, *agreed])


def _by_profile(span: Span) -> Iterator[FeedingSlot]:
    rule = span.rules.feeding
    if rule is None or span.began_on is None:
        return
    for on in feeding_days(
        every_days_low=rule.every_days_low,
        every_days_high=rule.every_days_high,
        anchor_on=span.began_on,
        from_on=span.from_on,
        until_on=span.until_on,
    ):
        yield FeedingSlot(on, span.rules, None)


def _precedence(order: OrderFact) -> tuple[bool, date, int]:
    return order.kind is FeedingOrderKind.FAST, order.from_on, order.id


def _agree(
    slots: dict[date, FeedingSlot],
    order: OrderFact,
    cut: tuple[Span, ...],
    from_on: date,
    until_on: date,
) -> None:
    """Put the days of an agreement in the place of what stood there."""
    last_on = min(order.until_on, until_on)
    for on in [on for on in slots if from_on <= on <= last_on]:
        del slots[on]
    if order.every_days is None:
        return
    for on in feeding_days(
        every_days_low=order.every_days,
        every_days_high=order.every_days,
        anchor_on=order.from_on,
        from_on=from_on,
        until_on=last_on,
    ):
        slots[on] = FeedingSlot(on, _rules_on(cut, on), order)


def _rules_on(cut: tuple[Span, ...], on: date) -> StageRules | None:
    return next((s.rules for s in cut if s.from_on <= on <= s.until_on), None)
