"""How many eggs are believed, against published clutch sizes.

30 to 40 eggs or more (Andrews 2008, J Exp Zool A 309:435-446); about 45 to 90 (Diaz and
others 2015, Cold Spring Harb Protoc). The mass of an egg, 1.0 to 1.5 g, is from memory.
The litter of a live-bearer: 8 to 30, others 7 to 38 (encyclopaedias, weak).
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clutches.rules.layings.counts import (
    Brought,
    ClutchError,
    check_counts,
    check_kind,
    check_names,
    remarks_on_counts,
)
from clutches.rules.vocabulary import ClutchKind
from tests.rules.clutches.layings.made import bearing, veiled


def eggs(
    kept: int, infertile: int = 0, broken: int = 0, mass_g: str | None = None
) -> Brought:
    parts = (("eggs_set", kept), ("eggs_infertile", infertile), ("eggs_broken", broken))
    return Brought(ClutchKind.EGGS, parts, None if mass_g is None else Decimal(mass_g))


def young(alive: int, dead: int = 0, mass_g: str | None = None) -> Brought:
    parts = (("born_alive", alive), ("born_dead", dead))
    mass = None if mass_g is None else Decimal(mass_g)
    return Brought(ClutchKind.LIVE_YOUNG, parts, mass)


@pytest.mark.parametrize(
    ("brought", "remarked"),
    [
        (eggs(35), False),  # Andrews 2008
        (eggs(40), False),
        (eggs(90), False),  # Diaz 2015
        (eggs(45, 40, 5), False),
        # 1.3 times 90 is 117.
        (eggs(117), False),
        (eggs(118), True),
        (eggs(60, 57, 1), True),
        (eggs(120), True),
        (eggs(1), False),
    ],
)
def test_far_more_eggs_than_published_are_counted_again(
    brought: Brought, remarked: bool
) -> None:
    check_counts(brought)

    assert bool(remarks_on_counts(brought, veiled())) is remarked


def test_the_remark_names_how_many_are_usual() -> None:
    assert remarks_on_counts(eggs(120), veiled()) == (
        "120 eggs are far more than usual (up to 90): count again.",
    )
    assert remarks_on_counts(young(40), bearing()) == (
        "40 young are far more than usual (up to 30): count again.",
    )
    assert remarks_on_counts(young(38), bearing()) == ()


@pytest.mark.parametrize(
    ("brought", "told"),
    [
        (eggs(40, mass_g="40"), ""),
        (eggs(40, mass_g="60"), ""),
        (eggs(30, 10, mass_g="60"), ""),
        (eggs(40, mass_g="39.7"), "0.99 g each; an egg usually weighs 1–1.5 g"),
        (eggs(40, mass_g="60.3"), "1.51 g each"),
        # Kilograms for grams.
        (eggs(40, mass_g="0.05"), "0.00 g each"),
        (young(10, mass_g="50"), ""),
    ],
)
def test_a_mass_that_no_egg_has_is_weighed_again(brought: Brought, told: str) -> None:
    profile = veiled() if brought.kind is ClutchKind.EGGS else bearing()

    found = remarks_on_counts(brought, profile)

    assert (told in found[0] if told else found == ()) is True


@pytest.mark.parametrize(
    ("brought", "field"),
    [
        (eggs(0), "eggs_set"),
        (young(0), "born_alive"),
        (eggs(-1, 5), "eggs_set"),
        (eggs(5, 0, -1), "eggs_broken"),
        (eggs(501), "eggs_set"),
        (eggs(250, 251), "eggs_set"),
        (eggs(40, mass_g="0"), "mass_g"),
        (eggs(40, mass_g="-3"), "mass_g"),
        (eggs(40, mass_g="NaN"), "mass_g"),
        (eggs(40, mass_g="100000"), "mass_g"),
    ],
)
def test_what_cannot_be_is_refused(brought: Brought, field: str) -> None:
    with pytest.raises(ClutchError) as refusal:
        check_counts(brought)

    assert list(refusal.value.fields) == [field]


@pytest.mark.parametrize("brought", [eggs(1), eggs(0, 1), eggs(500), young(0, 1)])
def test_at_the_bounds_it_can_be(brought: Brought) -> None:
    check_counts(brought)


def test_live_young_of_an_egg_layer_cannot_be() -> None:
    with pytest.raises(ClutchError, match="veiled chameleon lays eggs"):
        check_kind(young(5), veiled(), species="Veiled chameleon")
    check_kind(young(5), bearing(), species="Horned chameleon")
    check_kind(young(5), None, species="Any")
    check_kind(eggs(5), veiled(), species="Veiled chameleon")
    assert "bears live young" in remarks_on_counts(eggs(5), bearing())[0]
    assert remarks_on_counts(eggs(400, mass_g="1"), None) == ()


@pytest.mark.parametrize(
    ("code", "note", "field"),
    [
        ("", "", "code"),
        ("  ", "", "code"),
        ("C" * 21, "", "code"),
        ("C", "n" * 301, "note"),
    ],
)
def test_a_code_and_a_note_have_their_lengths(code: str, note: str, field: str) -> None:
    check_names(code="C" * 20, note="n" * 300)

    with pytest.raises(ClutchError) as refusal:
        check_names(code=code, note=note)

    assert list(refusal.value.fields) == [field]


@given(st.integers(1, 500), st.integers(0, 500))
def test_more_eggs_never_take_a_remark_away(one: int, more: int) -> None:
    few, many = eggs(one), eggs(one + more)

    assert len(remarks_on_counts(few, veiled())) <= len(
        remarks_on_counts(many, veiled())
    )
