"""What the instruments themselves give away: silence, standstill, nonsense.

The limits are conventions of this project (ADR 0007).
"""

from collections.abc import Iterator

import numpy as np

from husbandry.rules.conditions import MISSING, QUANTITIES, NightConditions
from husbandry.rules.conditions.values import Int64s
from husbandry.rules.findings import Seen, key_of
from husbandry.rules.night import evidence
from husbandry.rules.night.evidence import Json
from husbandry.rules.night.facts import NightFacts
from husbandry.rules.night.planning import AnimalPlan
from husbandry.rules.vocabulary import EnclosureKind, FindingKind, Quantity, Urgency

WATCH_BELOW_SHARE = 0.9
TODAY_BELOW_SHARE = 0.5
STUCK_FROM_S = 20 * 3600
STUCK_FROM_READINGS = 4
IMPOSSIBLE_FROM_S = 30 * 60


def judge_probes(facts: NightFacts, conditions: NightConditions) -> Iterator[Seen]:
    """Say which probes were silent, stood still or reported what cannot be true.

    Args:
        facts: what is known of the night.
        conditions: what the readings add up to.

    Yields:
        One sighting a probe for silence, one a quantity for standstill and for
        impossible values.

    Source:
        review-conventions (ADR 0007); sensor-bounds for what is impossible.
    """
    days = _Days(facts, conditions)
    yield from days.silent()
    yield from days.stuck()
    yield from days.nonsense()


class _Days:
    """The conditions by probe and quantity, day and night together.

    The kernel's rows come in pairs, day before night; of several bands the first
    one counts, for all have the same readings.
    """

    def __init__(self, facts: NightFacts, conditions: NightConditions) -> None:
        self._facts = facts
        self._c = conditions
        self._first = np.flatnonzero(conditions.band[::2] == 0) * 2

    def _both(self, column: Int64s) -> Int64s:
        """Return a column's day and night added up."""
        return column[self._first] + column[self._first + 1]

    def silent(self) -> Iterator[Seen]:
        answered_s = self._both(self._c.covered_s + self._c.impossible_s)
        expected_s = self._both(self._c.expected_s)
        worst: dict[int, tuple[int, int, int]] = {}
        for thin in np.flatnonzero(answered_s < WATCH_BELOW_SHARE * expected_s):
            place = int(self._c.probe[self._first[thin]])
            found = (int(answered_s[thin]), int(expected_s[thin]), int(thin))
            worst[place] = min(found, worst.get(place, found))
        for place, (covered_s, whole_s, group) in worst.items():
            low = covered_s < TODAY_BELOW_SHARE * whole_s
            yield self._seen(
                FindingKind.NO_DATA,
                group,
                Urgency.TODAY if low and self._matters(place) else Urgency.WATCH,
                {"covered_s": covered_s, "expected_s": whole_s},
            )

    def stuck(self) -> Iterator[Seen]:
        long = self._c.stuck_s[self._first] >= STUCK_FROM_S
        # One value that is merely held for long is silence, not standstill.
        repeated = self._c.stuck_readings[self._first] >= STUCK_FROM_READINGS
        for group in np.flatnonzero(long & repeated):
            row = int(self._first[group])
            value = self._only_value(row)
            quantity = QUANTITIES[int(self._c.quantity[row])]
            if quantity is Quantity.UV_INDEX and value == 0:
                continue  # dark all day is no standstill of the probe
            yield self._seen(
                FindingKind.STUCK_PROBE,
                int(group),
                Urgency.TODAY,
                {
                    "quantity": quantity.value,
                    "value": None if value is None else value / 1000,
                    "stuck_s": int(self._c.stuck_s[row]),
                    "stuck_from": evidence.local(
                        int(self._c.stuck_at[row]), self._facts
                    ),
                },
                quantity.value,
            )

    def nonsense(self) -> Iterator[Seen]:
        impossible_s = self._both(self._c.impossible_s)
        for group in np.flatnonzero(impossible_s >= IMPOSSIBLE_FROM_S):
            quantity = QUANTITIES[int(self._c.quantity[self._first[group]])]
            yield self._seen(
                FindingKind.IMPOSSIBLE_VALUES,
                int(group),
                Urgency.TODAY,
                {
                    "quantity": quantity.value,
                    "impossible_s": int(impossible_s[group]),
                },
                quantity.value,
            )

    def _only_value(self, row: int) -> int | None:
        """Return the one value of the day in thousandths; None: there are several."""
        values = {
            int(v)
            for column in (self._c.lowest_milli, self._c.highest_milli)
            for v in column[row : row + 2]
        } - {MISSING}
        return values.pop() if len(values) == 1 else None

    def _matters(self, place: int) -> bool:
        """Say whether anything lives where this probe is."""
        enclosure = self._facts.probes[place].enclosure
        incubator = self._facts.enclosures[enclosure].kind is EnclosureKind.INCUBATOR
        return incubator or any(
            stay.enclosure == enclosure
            for animal in self._facts.animals
            for stay in animal.stays
        )

    def _seen(
        self,
        kind: FindingKind,
        group: int,
        urgency: Urgency,
        found: Json,
        *detail: str,
    ) -> Seen:
        probe = self._facts.probes[int(self._c.probe[self._first[group]])]
        enclosure = self._facts.enclosures[probe.enclosure]
        return Seen(
            key=key_of(kind, "probe", probe.id, *detail),
            kind=kind,
            urgency=urgency,
            decided=True,
            animal=None,
            enclosure=probe.enclosure,
            probe=probe.id,
            evidence={
                **evidence.of_place(enclosure),
                "probe": probe.code,
                "zone": probe.zone.value,
                **found,
            },
        )


def unmeasured(facts: NightFacts, plans: tuple[AnimalPlan, ...]) -> Iterator[Seen]:
    """Say which animals have targets that no probe of their enclosure measures.

    Args:
        facts: what is known of the night.
        plans: the animals with what they want.

    Yields:
        One sighting an animal, naming every spot.
    """
    measured = {
        (probe.enclosure, quantity, probe.zone)
        for probe in facts.probes
        for quantity in probe.quantities
    }
    for plan in plans:
        where = evidence.home(plan.animal, facts)
        if where is None:
            continue
        missing = [
            {"quantity": quantity.value, "zone": zone.value}
            for quantity, zone in sorted(plan.wanted)
            if (where.id, quantity, zone) not in measured
        ]
        if missing:
            yield Seen(
                key=key_of(FindingKind.UNMEASURED_TARGET, "animal", plan.animal.id),
                kind=FindingKind.UNMEASURED_TARGET,
                urgency=Urgency.WATCH,
                decided=True,
                animal=plan.animal.id,
                enclosure=where.id,
                probe=None,
                evidence={
                    **evidence.of_animal(plan.animal, where),
                    "missing": missing,
                },
            )
