"""Masses in the wrong unit. Adult masses from a reference page: 85–170 g."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from husbandry.rules.masses import (
    ImplausibleMassError,
    ImpossibleMassError,
    check_plausible_mass,
    plausible_masses,
    round_mass,
)
from husbandry.rules.profiles.values import Provenance, WeightBand
from husbandry.rules.vocabulary import Standing
from husbandry.rules.weights import WeighingPoint

SAID = Provenance("reference", Standing.PUBLISHED, date(2026, 1, 1))
HATCHLING = WeightBand("hatchling", (), None, Decimal("0.3"), Decimal(30), SAID)
ADULT = WeightBand("adult", (), None, Decimal(85), Decimal(170), SAID)
SPECIES = (HATCHLING, ADULT)


def last(mass_g: str) -> WeighingPoint:
    return WeighingPoint(1, datetime(2026, 3, 1, tzinfo=UTC), Decimal(mass_g))


@pytest.mark.parametrize(
    ("mass_g", "stored"),
    [
        ("120", "120.00"),
        ("0.01", "0.01"),
        ("113.398093", "113.40"),  # 4 oz
        ("0.125", "0.12"),  # half to even
        ("0.135", "0.14"),
        ("9999999.99", "9999999.99"),
    ],
)
def test_a_mass_is_kept_to_a_hundredth(mass_g: str, stored: str) -> None:
    assert str(round_mass(Decimal(mass_g))) == stored


@pytest.mark.parametrize(
    "mass_g", ["0", "-1", "0.004", "10000000", "NaN", "Infinity", "-Infinity"]
)
def test_what_no_animal_weighs_is_refused(mass_g: str) -> None:
    with pytest.raises(ImpossibleMassError) as refused:
        round_mass(Decimal(mass_g))

    assert f"{mass_g} g" in refused.value.sentence


@pytest.mark.parametrize(
    ("mass_g", "before", "plausible"),
    [
        ("120", None, True),  # 0.12 kg is 120 g
        ("120000", None, False),  # 120 kg is not
        ("0.12", None, False),
        ("42.5", None, True),  # half the band, at the limit
        ("42.49", None, False),
        ("340", None, True),
        ("340.01", None, False),
        ("240", "120", True),  # twice the last one, at the limit
        ("240.01", "120", False),
        ("60", "120", True),
        ("59.99", "120", False),
        ("4.23", "120", False),  # ounces
        ("3401.94", "120", False),  # taken for ounces
        ("350", "180", False),  # within twice, but beyond the species
        ("700", "400", True),  # known to be beyond it: not asked again
    ],
)
def test_plausible(mass_g: str, before: str | None, plausible: bool) -> None:
    arguments = {
        "last": last(before) if before else None,
        "band": ADULT,
        "species": SPECIES,
    }
    if plausible:
        check_plausible_mass(Decimal(mass_g), **arguments)
        return
    with pytest.raises(ImplausibleMassError):
        check_plausible_mass(Decimal(mass_g), **arguments)


def test_without_a_band_the_species_counts_and_without_it_nothing() -> None:
    found = plausible_masses(last=None, band=None, species=SPECIES)

    assert found is not None
    assert (found.low_g, found.high_g) == (Decimal("0.15"), Decimal(340))
    assert plausible_masses(last=None, band=None, species=()) is None
    check_plausible_mass(Decimal(5000), last=None, band=None)


@pytest.mark.parametrize(
    ("mass_g", "guess"),
    [
        ("120000", "Was it 120 g, taken for kg?"),
        ("0.12", "Was it 0.12 kg (120 g)?"),
        ("4.23", "Was it 4.23 oz (119.92 g)?"),
        ("3401.94", "Was it 120 g, taken for oz?"),
        ("0.26", "Was it 0.26 lb (117.93 g)?"),
    ],
)
def test_the_refusal_guesses_the_unit_and_says_how_to_confirm(
    mass_g: str, guess: str
) -> None:
    with pytest.raises(ImplausibleMassError) as refused:
        check_plausible_mass(Decimal(mass_g), last=last("120"), band=None)

    sentence = refused.value.sentence
    assert "60 to 240 g would be (its last weighing was 120 g)" in sentence
    assert guess in sentence
    assert sentence.endswith("Weigh again; if it is right, confirm it and say why.")
    assert set(refused.value.fields) == {"mass_g"}


@pytest.mark.parametrize(
    ("mass_g", "neighbours", "asked"),
    [
        ("141", (), None),
        ("141", (("V-0102 Bas", "133"),), None),  # 6 % away
        (
            "141",
            (("V-0102 Bas", "141.00"), ("V-0103", "60")),
            "It is close to the last weighing of V-0102 Bas (141 g): was that one on "
            "the scale?",
        ),
        # 5 % of 140 g are 7 g: at the limit counts, just over does not.
        ("147", (("V-1", "140"), ("V-2", "139.99")), "V-1 (140 g): was that one"),
        ("133", (("V-1", "140"), ("V-2", "140.01")), "V-1 (140 g): was that one"),
        # The nearest two are named, the nearest first.
        (
            "141",
            (("V-1", "145"), ("V-2", "138"), ("V-3", "142.5"), ("V-4", "50")),
            "It is close to the last weighings of V-3 (142.5 g) and V-2 (138 g): was "
            "one of them on the scale?",
        ),
        ("141", (("V-2", "142"), ("V-1", "140")), "of V-1 (140 g) and V-2 (142 g):"),
    ],
)
def test_the_refusal_asks_about_animals_nearby(
    mass_g: str, neighbours: tuple[tuple[str, str], ...], asked: str | None
) -> None:
    with pytest.raises(ImplausibleMassError) as refused:
        check_plausible_mass(
            Decimal(mass_g),
            last=last("60"),
            band=None,
            neighbours=[(label, Decimal(last_g)) for label, last_g in neighbours],
        )

    sentence = refused.value.sentence
    assert sentence.endswith("Weigh again; if it is right, confirm it and say why.")
    assert ("on the scale?" in sentence) is (asked is not None)
    assert (asked or "") in sentence


def test_a_plausible_mass_is_not_doubted_because_a_neighbour_weighs_the_same() -> None:
    check_plausible_mass(
        Decimal(60), last=last("60"), band=None, neighbours=[("V-1", Decimal(60))]
    )
