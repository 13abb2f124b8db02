"""What is proposed, what is asked, and what a saved mapping answers."""

import json
from dataclasses import replace

import pytest

from husbandry.rules.loggers.mapping import Mapping, from_document, to_document
from husbandry.rules.loggers.questions import channels_of
from husbandry.rules.loggers.readings import parse_readings
from husbandry.rules.loggers.sentences import question_sentence
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import (
    Asked,
    DayOrder,
    Noted,
    Unit,
    Untrusted,
    Why,
)
from husbandry.rules.vocabulary import Quantity
from tests.rules.loggers.reading import BERLIN, NOW, propose, rows_of, sheet_of

CLEAR = "Time (UTC),Temp (°C),RH (%)\n2026-03-13 10:00,20.5,50\n"
OPEN = "Time,Temp,RH\n04/03/2026 10:00,68.5,50\n05/03/2026 10:00,95.1,51\n"


def asked(data: str, *, saved: Mapping | None = None) -> list[Asked]:
    return [question.asked for question in propose(data, saved=saved).questions]


def test_clear_file_asks_nothing() -> None:
    proposal = propose(CLEAR)

    assert proposal.questions == ()
    assert proposal.is_ready
    assert [(c.index, c.meaning, c.why, c.share_pct) for c in proposal.columns] == [
        (0, "stamp", Why.HEADER, 100),
        (1, "temperature_c", Why.HEADER, 100),
        (2, "humidity_pct", Why.HEADER, 100),
    ]


def test_open_file_asks_for_order_unit_and_zone_and_guesses_none() -> None:
    proposal = propose(OPEN)

    assert [(q.asked, q.blocking) for q in proposal.questions] == [
        (Asked.DAY_ORDER, True),
        (Asked.UNIT, True),
        (Asked.ZONE, False),
    ]
    assert not proposal.is_ready
    assert proposal.mapping.undecided == ("day_order", "unit")


def test_questions_show_what_each_answer_would_mean() -> None:
    sentences = [question_sentence(question) for question in propose(OPEN).questions]

    assert sentences == [
        "Is the day or the month first in 'Time' (such as 04/03/2026 10:00)? "
        "All 2 dates are possible as dmy or mdy.",
        "In which unit is 'Temp'? Its numbers run from 68.5 to 95.1 and nothing says "
        "C or F. As °F they would be 20.3 to 35.1 °C.",
        "In which time zone does the logger's clock run? If nobody says, the site's "
        "local time is taken.",
    ]


def test_day_order_question_shows_the_days_of_each_order() -> None:
    question = propose(OPEN).questions[0]

    assert question.choices == ("dmy", "mdy")
    assert dict(question.facts) == {
        "value": "04/03/2026 10:00",
        "days": "2",
        "dmy_from": "2026-03-04",
        "dmy_to": "2026-03-05",
        "mdy_from": "2026-04-03",
        "mdy_to": "2026-05-03",
    }


@pytest.mark.parametrize(
    ("stamps", "order"),
    [
        (("12/03/2026", "13/03/2026"), DayOrder.DMY),
        (("03/12/2026", "03/13/2026"), DayOrder.MDY),
        (("04/03/2026", "12/03/2026"), None),
        (("03/03/2026", "03/03/2026"), DayOrder.DMY),  # the same day either way
        (("2026/03/04",), DayOrder.PLAIN),
        (("4 March 2026",), DayOrder.PLAIN),
        (("26-03-11", "26-03-12", "26-03-13"), DayOrder.YMD),
        (("11.03.26", "12.03.26", "13.03.26"), DayOrder.DMY),
        (("10.03.26", "11.03.26", "12.03.26"), None),
        (("13.03.26", "14.03.26"), None),  # two dates are too few to exclude 2013
        (("28/02/2026", "01/03/2026"), DayOrder.DMY),
    ],
)
def test_day_order_is_decided_from_the_whole_column(
    stamps: tuple[str, ...], order: DayOrder | None
) -> None:
    rows = "".join(f"{stamp} 10:00,20.5\n" for stamp in stamps)

    assert propose("Time,Temp °C\n" + rows).mapping.day_order is order


@pytest.mark.parametrize(
    ("heading", "order"),
    [
        ("Date (dd/mm/yyyy)", DayOrder.DMY),
        ("Date (mm/dd/yyyy)", DayOrder.MDY),
        ("Datum TT.MM.JJJJ", DayOrder.DMY),
        ("Date jj/mm/aaaa", DayOrder.DMY),
        ("Date (yyyy-mm-dd)", None),  # says what the column is not: ask
    ],
)
def test_pattern_in_the_heading_decides_what_the_column_leaves_open(
    heading: str, order: DayOrder | None
) -> None:
    text = f"{heading};Temp °C\n04/03/2026 10:00;20.5\n05/03/2026 10:00;20.5\n"

    assert propose(text).mapping.day_order is order


@pytest.mark.parametrize(
    ("heading", "cells", "unit"),
    [
        ("Temp (°F)", "70.5", Unit.F),
        ("Temp_F", "70.5", Unit.F),
        ("Temperature [C]", "20.5", Unit.C),
        ("Temp. ℃", "20.5", Unit.C),
        ("Temp Fahrenheit", "70.5", Unit.F),
        ("Temp", "70.5 °F", Unit.F),
        ("Temp", "160.5", None),  # no °C, but it may be kelvin
        ("Temp", "70.5", None),
        ("Temp", "20.5", None),
    ],
)
def test_unit_is_stated_or_asked_for(
    heading: str, cells: str, unit: Unit | None
) -> None:
    text = f"Time;{heading}\n2026-03-13 10:00;{cells}\n"

    assert propose(text).mapping.values[0].unit is unit


def test_unit_in_a_title_counts() -> None:
    text = "Temperature unit: °F\nTime,Temp\n2026-03-13 10:00,70.5\n"

    assert propose(text).mapping.values[0].unit is Unit.F


def test_humidity_as_a_fraction_is_asked_for() -> None:
    proposal = propose("Time,Humidity\n2026-03-13 10:00,0.45\n")
    mapping = proposal.mapping.with_unit(Unit.FRACTION)

    parsed = parse_readings(
        sheet_of("Time,Humidity\n2026-03-13 10:00,0.45\n"),
        mapping,
        site_zone=BERLIN,
        until=NOW,
    )

    assert Asked.UNIT in [question.asked for question in proposal.questions]
    assert parsed.channels[0].humidity_milli_pct.tolist() == [45_000]


@pytest.mark.parametrize("zone", ["EST", "CST", "IST", "BST"])
def test_zone_that_several_countries_use_is_asked_for(zone: str) -> None:
    proposal = propose(f"Time ({zone}),Temp °C\n2026-03-13 10:00,20.5\n")

    assert [(q.asked, q.blocking) for q in proposal.questions] == [(Asked.ZONE, True)]
    assert proposal.mapping.undecided == ("zone",)


def test_two_instruments_side_by_side_are_channels() -> None:
    text = (
        "Time (UTC),Basking Temp (°C),Basking RH (%),Cool Temp (°C),Cool RH (%)\n"
        "2026-03-13 10:00,31.5,40,22.5,60\n"
    )
    proposal = propose(text)

    parsed = parse_readings(
        sheet_of(text), proposal.mapping, site_zone=BERLIN, until=NOW
    )

    assert [q.asked for q in proposal.questions] == [Asked.CHANNELS]
    assert {c.channel: rows_of(c) for c in parsed.channels} == {
        "basking": [(1773396000, 31_500, 40_000)],
        "cool": [(1773396000, 22_500, 60_000)],
    }


def test_channels_given_to_probes_are_asked_for_no_more() -> None:
    text = "Time (UTC),Sensor,Temp (°C)\n2026-03-13 10:00,A1,31.5\n2026-03-13 10:00,A2,22.5\n"
    first = propose(text)
    saved = first.mapping.with_probes([("A1", "P-1"), ("A2", "")])

    assert channels_of(sheet_of(text), first.mapping) == ("A1", "A2")
    assert [q.asked for q in first.questions] == [Asked.CHANNELS]
    assert propose(text, saved=saved).is_ready


def test_two_stamp_columns_are_asked_about_unless_one_states_its_zone() -> None:
    rows = "2026-03-13 10:00,2026-03-13 11:00,20.5\n"

    assert Asked.STAMP_COLUMN in asked("Start time,End time,Temp °C\n" + rows)
    stated = propose("Local time,Time (UTC),Temp °C\n" + rows)
    assert stated.mapping.stamp_columns == (1,)
    assert stated.questions == ()


def test_file_without_headings_asks_which_column_is_what() -> None:
    text = "2026-03-13 10:00,20.5,50\n2026-03-13 10:10,20.6,51\n"
    proposal = propose(text)
    mapping = proposal.mapping.with_value(
        index=1, quantity=Quantity.TEMPERATURE_C, unit=Unit.C
    ).with_value(index=2, quantity=Quantity.HUMIDITY_PCT, unit=Unit.PERCENT)

    parsed = parse_readings(sheet_of(text), mapping, site_zone=BERLIN, until=NOW)

    question = proposal.questions[0]
    assert (question.asked, question.choices) == (
        Asked.QUANTITY, ("column 2", "column 3"),
    )  # fmt: skip
    assert parsed.readings == 2
    assert propose(text, saved=mapping).is_ready


def test_saved_mapping_answers_the_next_file_of_the_source() -> None:
    saved = propose(OPEN).mapping.with_day_order(DayOrder.DMY).with_unit(Unit.F)

    again = propose(OPEN, saved=saved)

    assert again.mapping == saved
    assert again.questions == ()
    assert {column.why for column in again.columns} == {Why.SAVED}


def test_column_that_excludes_the_saved_order_wins() -> None:
    saved = propose(OPEN).mapping.with_day_order(DayOrder.DMY).with_unit(Unit.F)

    again = propose("Time,Temp,RH\n03/13/2026 10:00,68.5,50\n", saved=saved)

    assert again.mapping.day_order is DayOrder.MDY


def test_saved_plain_dates_do_not_decide_open_ones() -> None:
    saved = propose("Time,Temp (°C)\n2026-03-13 10:00,20.5\n").mapping

    again = propose("Time,Temp (°C)\n04/03/2026 10:00,20.5\n", saved=saved)

    assert [question.asked for question in again.questions] == [Asked.DAY_ORDER]


def test_decimal_mark_is_that_of_the_file_and_not_the_saved_one() -> None:
    saved = propose("Time;Temp (°C)\n2026-03-13 10:00;20.5\n").mapping

    again = propose("Time;Temp (°C)\n2026-03-13 10:00;20,5\n", saved=saved)

    assert again.mapping.decimal_mark == ","


def test_saved_mapping_of_other_headings_answers_what_is_left_open() -> None:
    saved = replace(
        propose(OPEN).mapping.with_day_order(DayOrder.DMY).with_unit(Unit.F),
        zone="+02:00",
        sentinels=("-77",),
    )

    again = propose(
        "No,Time,RH,Temp\n1,04/03/2026 10:00,50,68.5\n2,05/03/2026 10:00,50,68.5\n",
        saved=saved,
    )

    assert again.is_ready
    assert again.mapping.zone == "+02:00"
    assert again.mapping.sentinels == ("-77",)
    assert [(c.index, c.name, c.unit) for c in again.mapping.values] == [
        (2, "RH", Unit.PERCENT),
        (3, "Temp", Unit.F),
    ]


def test_own_sentinels_are_missing() -> None:
    mapping = replace(propose(CLEAR).mapping, sentinels=("20.5",))

    parsed = parse_readings(sheet_of(CLEAR), mapping, site_zone=BERLIN, until=NOW)

    assert [n.noted for n in parsed.notes] == [Noted.MARKED_MISSING]


@pytest.mark.parametrize("data", [CLEAR, OPEN])
def test_mapping_survives_json(data: str) -> None:
    mapping = propose(data).mapping.with_probes([("a", "P-1")])

    assert from_document(json.loads(json.dumps(to_document(mapping)))) == mapping


@pytest.mark.parametrize(
    ("part", "value"),
    [
        ("header", "Time"),
        ("header", [1]),
        ("stamp_columns", []),
        ("stamp_columns", [-1]),
        ("stamp_columns", [True]),
        ("clock", "sundial"),
        ("day_order", "ydm"),
        ("zone", "Mars/Olympus"),
        ("zone", "+25:00"),
        ("zone", None),
        ("decimal_mark", "'"),
        ("values", [1]),
        ("values", [{"index": 1, "name": "T", "quantity": "mass", "unit": None, "channel": ""}]),
        ("values", [{"index": 1, "name": "T", "quantity": "temperature_c", "unit": "%", "channel": ""}]),
        ("values", [{"index": n, "name": "T", "quantity": "temperature_c", "unit": "C", "channel": ""} for n in (1, 2)]),
        ("channel_column", "1"),
        ("probes", [["a"]]),
        ("sentinels", ["none"]),
        ("colour", "red"),
    ],
)  # fmt: skip
def test_unusable_document_is_refused_naming_the_part(part: str, value: object) -> None:
    document = {**to_document(propose(CLEAR).mapping), part: value}

    with pytest.raises(UntrustedFileError) as caught:
        from_document(json.loads(json.dumps(document)))

    assert caught.value.reason is Untrusted.MAPPING_UNUSABLE
    named = dict(caught.value.facts)
    assert named["part"] in {part, "quantity", "unit"}
    assert named["accepted"]


@pytest.mark.parametrize("document", [None, [], "mapping"])
def test_document_has_to_be_an_object(document: object) -> None:
    with pytest.raises(UntrustedFileError, match="an object"):
        from_document(document)


def test_zone_that_nobody_knows_is_refused() -> None:
    with pytest.raises(UntrustedFileError, match="IANA"):
        propose(CLEAR).mapping.with_zone("Local")


def test_kelvin_is_not_taken_for_fahrenheit() -> None:
    proposal = propose("Time,Temperature (K)\n2026-03-13 10:00,293.5\n")

    assert proposal.mapping.values == ()
    assert proposal.questions[0].asked is Asked.QUANTITY
