"""Units in a heading are told apart from the name of the channel.

How relative humidity is written (%RH, % r.F., %HR, %UR) is common practice of the
makers of loggers in the languages of the lexicon; no source.
"""

import pytest

from husbandry.rules.loggers.headers import Role, meaning
from husbandry.rules.loggers.units import temperature_unit
from husbandry.rules.loggers.vocabulary import Unit
from tests.rules.loggers.reading import parse

WRITTEN = (
    *("%rF", "%RH", "%rH", "% r.F.", "% r. F.", "% r.H.", "%HR", "% HR", "% H.R."),
    *("%UR", "% RV", "%", "% rel.", "rF %", "RH", "r.F.", "%WW"),
)


@pytest.mark.parametrize("unit", WRITTEN)
@pytest.mark.parametrize("brackets", ["()", "[]"])
def test_unit_in_brackets_is_no_part_of_the_channel(unit: str, brackets: str) -> None:
    heading = f"X01 leaf Luftfeuchte {brackets[0]}{unit}{brackets[1]}"

    found = meaning(heading)

    assert (found.role, found.label) == (Role.HUMIDITY, "x01 leaf")
    assert temperature_unit(heading) is None


@pytest.mark.parametrize(
    "heading",
    [
        *("Leaf rF", "Leaf %rF", "Leaf % r.F.", "Leaf % r. F.", "Leaf % r F"),
        *("Leaf rF (%)", "Leaf r.H. [%]", "Leaf RH (%)", "rF Leaf (%)", "Leaf_rF"),
        *("Leaf % RH", "leaf r.f.", "(%rF) Leaf", "Leaf hum_rH"),
    ],
)
def test_unit_without_brackets_is_no_part_of_the_channel(heading: str) -> None:
    found = meaning(heading)

    assert (found.role, found.label) == (Role.HUMIDITY, "leaf")
    assert temperature_unit(heading) is None


@pytest.mark.parametrize(
    ("heading", "unit", "label"),
    [
        ("Leaf Temperatur (°C)", Unit.C, "leaf"),
        ("Leaf temp [ºC]", Unit.C, "leaf"),
        ("Leaf temp (F)", Unit.F, "leaf"),
        ("Leaf temp °F", Unit.F, "leaf"),
        ("Temp (°C, left)", Unit.C, "left"),
        ("Temp (left) °C", Unit.C, "left"),
        ("Sensor r Temp (°C)", Unit.C, "sensor r"),
        ("Temp (2) (°C)", Unit.C, "2"),
        ("BaskingSpotTemp (°C)", Unit.C, "basking spot"),
    ],
)
def test_words_beside_a_unit_stay_the_channel(
    heading: str, unit: Unit, label: str
) -> None:
    found = meaning(heading)

    assert (found.role, found.unit, found.label) == (Role.TEMPERATURE, unit, label)


def test_words_in_brackets_beside_a_percent_sign_stay_the_channel() -> None:
    assert meaning("Humidity (left, %)").label == "left"
    assert meaning("Humidity (% left side)").label == "left side"


def test_two_quantities_of_a_spot_share_its_channel() -> None:
    text = (
        "Zeit;X01 leaf Temperatur (°C);X01 leaf Luftfeuchte (%rF);"
        "X01 bask Temperatur (°C);X01 bask Luftfeuchte (%rF)\n"
        "2026-03-13 10:00;20,5;60,0;30,5;40,0\n"
        "2026-03-13 10:10;20,6;61,0;30,6;41,0\n"
    )

    found = {
        c.channel: (c.temperature_milli_c.tolist(), c.humidity_milli_pct.tolist())
        for c in parse(text).channels
    }

    assert found == {
        "x01 leaf": ([20_500, 20_600], [60_000, 61_000]),
        "x01 bask": ([30_500, 30_600], [40_000, 41_000]),
    }
