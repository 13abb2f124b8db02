"""Published sex ratios by incubation temperature: told, never used to sex an animal."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from husbandry.rules.profiles.values import SexRatio


@dataclass(frozen=True, slots=True)
class RatioTold:
    """What is published of the share of females at a temperature.

    Attributes:
        exact: the row of that very temperature; None: there is none.
        between: rows below and above it; None where it lies outside all of them.
    """

    temperature_c: Decimal
    exact: SexRatio | None
    between: tuple[SexRatio, SexRatio] | None

    @property
    def sentence(self) -> str:
        """Return what is known in words; between published points nothing is read."""
        at = f"at {self.temperature_c:f} °C"
        if self.exact is not None:
            return f"{self.exact.female_pct:f} % females published {at}"
        if self.between is not None:
            low, high = sorted(row.female_pct for row in self.between)
            return (
                f"nothing published {at}; between {low:f} and {high:f} % at the "
                "temperatures beside it, and not on a straight line"
            )
        return f"nothing published {at}"


def ratio_at(ratios: Sequence[SexRatio], temperature_c: Decimal) -> RatioTold:
    """Return what is published at a temperature; nothing is interpolated.

    Args:
        ratios: of a care profile, in any order; none where temperature makes no sex,
            or nothing is published.
        temperature_c: at which eggs were kept.

    Source:
        flores-1994 for the leopard gecko; the profile's rows name their own.
    """
    rows = sorted(ratios, key=lambda row: row.temperature_c)
    exact = next((row for row in rows if row.temperature_c == temperature_c), None)
    below = [row for row in rows if row.temperature_c < temperature_c]
    above = [row for row in rows if row.temperature_c > temperature_c]
    between = (below[-1], above[0]) if exact is None and below and above else None
    return RatioTold(temperature_c, exact, between)
