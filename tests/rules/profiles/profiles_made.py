"""Hypothesis strategies that make care profiles and the rows in them."""

from datetime import date
from decimal import Decimal

from hypothesis import strategies as st

from husbandry.rules.profiles.values import (
    Caution,
    Disagreement,
    IncubationRule,
    Profile,
    Provenance,
    Source,
    Stage,
    SupplementRule,
    Target,
    WarningSign,
    WeightBand,
    WeightPolicy,
)
from husbandry.rules.profiles.vocabulary import (
    IncubationMatter,
    SourceKind,
    SupplementWhen,
)
from husbandry.rules.vocabulary import (
    Period,
    Quantity,
    Reproduction,
    Sex,
    Standing,
    Urgency,
    Zone,
)

STAGES = ("hatchling", "juvenile", "adult")
SOURCES = ("common-practice", "paper-1", "paper-2")
# Anything a person may type: quotes, colons, dashes, words that YAML takes for
# something else, signs of other scripts.
TEXTS = st.one_of(
    st.sampled_from(["yes", "12", "1:30", "~", "- a", "a: b", "#", "'", "2027-01-01"]),
    st.text(
        st.characters(codec="utf-8", exclude_categories=("C", "Z")),
        min_size=1,
        max_size=40,
    ),
    st.lists(st.sampled_from(["warm", "°C", "–", "♀", '"', "{x}"]), min_size=1).map(
        " ".join
    ),
)
DAYS = st.dates(date(1990, 1, 1), date(2090, 1, 1))
PROVENANCES = st.builds(
    Provenance,
    source=st.sampled_from(SOURCES),
    standing=st.sampled_from(Standing),
    reviewed_on=DAYS,
    note=st.one_of(st.just(""), TEXTS),
)
BANDS = st.lists(st.decimals(0, 20, places=2), min_size=4, max_size=4, unique=True).map(
    sorted
)


def scopes_of(row: object) -> object:
    """Return the scope of a row, as Hypothesis' `unique_by` wants it."""
    return row.scope  # type: ignore[attr-defined]


@st.composite
def disagreements(draw: st.DrawFn) -> tuple[Disagreement, ...]:
    def one() -> Disagreement:
        low, _, _, high = draw(BANDS)
        kept = draw(st.sampled_from([(low, high), (low, None), (None, high)]))
        return Disagreement(*kept, draw(PROVENANCES))

    return tuple(one() for _ in range(draw(st.integers(0, 2))))


@st.composite
def targets(draw: st.DrawFn, name: str = "target") -> Target:
    """Make a row for one and the same spot, so that rows compete."""
    hard_low, low, high, hard_high = draw(BANDS)
    band = draw(st.sampled_from([(low, high), (low, None), (None, high)]))
    hard = draw(
        st.sampled_from([(hard_low, hard_high), (None, hard_high), (None, None)])
    )
    limited = hard != (None, None)
    return Target(
        id=name,
        quantity=Quantity.UV_INDEX,
        zone=Zone.BASKING,
        period=Period.DAY,
        stages=tuple(draw(st.lists(st.sampled_from(STAGES), unique=True, max_size=2))),
        sex=draw(st.sampled_from([None, *Sex])),
        reproduction=draw(st.sampled_from([None, *Reproduction])),
        low=band[0],
        high=band[1],
        hard_low=hard[0],
        hard_high=hard[1],
        tolerated_minutes=draw(st.integers(0, 1440)),
        provenance=draw(PROVENANCES),
        others=draw(disagreements()),
        hard_provenance=draw(st.one_of(st.none(), PROVENANCES)) if limited else None,
        tolerance_provenance=draw(st.one_of(st.none(), PROVENANCES)),
    )


def named(rows: list[Target]) -> tuple[Target, ...]:
    """Return rows with ids of their own."""
    return tuple(
        Target(**{f: getattr(r, f) for f in r.__slots__} | {"id": f"target-{n}"})
        for n, r in enumerate(rows)
    )


def profile_of(
    rows: tuple[Target, ...], *, texts: tuple[str, ...] = ("A text.",)
) -> Profile:
    """Return a whole profile around targets; texts go where texts stand."""
    day = date(2027, 1, 31)
    known = [
        Provenance(key, standing, day)
        for key, standing in zip(SOURCES, Standing, strict=True)
    ]
    starts = [0, 90, 365, None]
    return Profile(
        species="made_up",
        common_name=texts[0],
        scientific_name=texts[-1],
        sources=tuple(
            Source(key, texts[0], SourceKind.PAPER, 2020, texts[-1]) for key in SOURCES
        ),
        stages=tuple(
            Stage(code, texts[0], int(starts[n] or 0), starts[n + 1], known[0])
            for n, code in enumerate(STAGES)
        ),
        targets=rows,
        light_hours=(),
        housing=(),
        company=(),
        laying=(),
        feeding=(),
        feeders=(),
        supplements=(
            SupplementRule(
                "calcium",
                (),
                texts[0],
                SupplementWhen.EVERY_FEEDING,
                (),
                None,
                "",
                known[1],
            ),
            SupplementRule(
                "vitamins",
                ("adult",),
                texts[-1],
                SupplementWhen.MONTH_DAYS,
                (1, 28),
                "calcium",
                texts[0],
                known[2],
            ),
        ),
        weight_bands=(
            WeightBand(
                "band", (), Sex.MALE, Decimal("0.001"), Decimal(100000), known[0]
            ),
        ),
        weighing=(),
        weight_policy=WeightPolicy(
            Decimal("0.1"), 1, Decimal(99), 3650, 1, 1, (), known[0]
        ),
        warning_signs=tuple(
            WarningSign(f"sign-{n}", text, Urgency.NOW, text, known[0])
            for n, text in enumerate(texts)
        ),
        incubation=(
            IncubationRule(
                "hatch", IncubationMatter.HATCH_DAYS, None, Decimal(0), "", known[0]
            ),
        ),
        cautions=tuple(
            Caution(f"caution-{n}", text, known[0]) for n, text in enumerate(texts)
        ),
        checklist=(),
        notes=(),
    )
