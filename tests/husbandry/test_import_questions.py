"""What a file does not say is asked; channels, probes and sources are named."""

from datetime import UTC, datetime

import pytest

from husbandry.actions.imports import (
    NothingForProbesError,
)
from husbandry.models import ReadingImport
from husbandry.queries.logger_files import (
    UnknownChannelError,
    UnknownProbeError,
    ZonesDifferError,
    look_at_file,
    probes_by_code,
)
from husbandry.rules.import_answers import (
    NO_ANSWERS,
    Answers,
    AnswerUnusableError,
    FileUndecidedError,
)
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import Asked, DayOrder, Unit
from husbandry.rules.vocabulary import Quantity
from tests.husbandry.logger_files import (
    BY_ROW,
    PLAIN,
    TAKEN,
    TWO_CHANNELS,
    UNCLEAR,
    probe_at,
    stored,
    take,
)

pytestmark = pytest.mark.django_db

# What has to be asked


def test_what_the_file_does_not_say_is_asked_and_nothing_recorded() -> None:
    with pytest.raises(FileUndecidedError) as asked:
        take(UNCLEAR, None)

    assert [q.asked for q in asked.value.questions] == [
        Asked.DAY_ORDER,
        Asked.UNIT,
        Asked.CHANNELS,
    ]
    assert set(asked.value.fields) == {"day_order", "unit", "channels"}
    assert asked.value.fields["channels"] == "Which probe does the file belong to?"
    assert asked.value.sentence.startswith(
        "Nothing of tub.csv was taken yet, because it does not say enough. Is the day "
        "or the month first"
    )
    assert not ReadingImport.objects.exists()


@pytest.mark.parametrize(
    ("order", "first_at"),
    [(DayOrder.DMY, "2026-04-03T09:00:00Z"), (DayOrder.MDY, "2026-03-04T10:00:00Z")],
)
def test_answers_decide(order: DayOrder, first_at: str) -> None:
    probe = probe_at("Europe/Lisbon")
    answers = Answers(day_order=order, units=(Unit.F,))

    report = take(UNCLEAR, probe, answers=answers, at=datetime(2026, 5, 1, tzinfo=UTC))

    assert report.first_at == first_at
    assert stored(probe)[0][1] == 21_389  # (70.5 − 32) × 5/9 = 21.3888…


def test_a_column_that_is_not_recognised_can_be_named() -> None:
    probe = probe_at()
    data = b"Date;Bottom left\n2026-03-01 10:00;24,5\n2026-03-01 10:05;24,75\n"
    quantities = (("Bottom left", Quantity.TEMPERATURE_C),)

    with pytest.raises(FileUndecidedError) as first:
        take(data, probe)
    with pytest.raises(FileUndecidedError) as second:
        take(data, probe, answers=Answers(quantities=quantities))
    take(data, probe, answers=Answers(quantities=quantities, units=(Unit.C,)))

    assert [q.asked for q in first.value.questions] == [Asked.QUANTITY]
    assert second.value.fields == {
        "unit": "In which unit is 'Bottom left'? Its numbers run from 24.5 to 24.75 "
        "and nothing says C or F."
    }
    assert [row[1] for row in stored(probe)] == [24_500, 24_750]


def test_a_unit_is_asked_for_each_column_without_one() -> None:
    with pytest.raises(FileUndecidedError) as asked:
        take(UNCLEAR, probe_at(), answers=Answers(day_order=DayOrder.MDY))

    assert [(q.asked, q.column) for q in asked.value.questions] == [
        (Asked.UNIT, "Temperature")
    ]


def test_one_of_two_stamp_columns_is_chosen() -> None:
    probe = probe_at()
    data = b"""Recorded,Sent,Temperature (C)
2026-03-01 10:00,2026-03-01 12:00,24.5
2026-03-01 10:05,2026-03-01 12:00,24.6
2026-03-01 10:10,2026-03-01 12:01,24.7
"""
    with pytest.raises(FileUndecidedError) as asked:
        take(data, probe)
    take(data, probe, answers=Answers(stamp_column="Recorded"))

    assert [q.asked for q in asked.value.questions] == [Asked.STAMP_COLUMN]
    assert [at for at, *_ in stored(probe)] == ["01 10:00", "01 10:05", "01 10:10"]


@pytest.mark.parametrize(
    ("answers", "sentence"),
    [
        (
            Answers(units=(Unit.INDEX,)),
            "No column of tub.csv can be in the unit 'index'. Leave it out.",
        ),
        (
            Answers(stamp_column="When"),
            "tub.csv has no column 'When'. It has 'Date', 'Temperature (°C)', "
            "'Humidity (%)'.",
        ),
        (
            Answers(quantities=(("UV", Quantity.UV_INDEX),)),
            "tub.csv has no column 'UV'. It has 'Date', 'Temperature (°C)', "
            "'Humidity (%)'.",
        ),
    ],
)
def test_an_answer_that_fits_nothing_is_refused(
    answers: Answers, sentence: str
) -> None:
    with pytest.raises(AnswerUnusableError) as refused:
        take(PLAIN, probe_at(), answers=answers)

    assert refused.value.sentence == sentence
    assert not ReadingImport.objects.exists()


def test_a_zone_that_does_not_exist_is_no_fault_of_the_file() -> None:
    with pytest.raises(UntrustedFileError, match="Mars/Base"):
        take(PLAIN, probe_at(), answers=Answers(zone="Mars/Base"))

    assert not ReadingImport.objects.exists()


# Channels and probes


def test_each_channel_goes_to_its_probe() -> None:
    warm, cool = probe_at(), probe_at()
    looked = look_at_file(
        data=TWO_CHANNELS,
        file_name="two.csv",
        probe_for={},
        answers=NO_ANSWERS,
        mapping=None,
        source_name=None,
    )
    one, two = looked.channels

    take(TWO_CHANNELS, None, probe_for={one: warm, two: cool})

    assert [row[1] for row in stored(warm)] == [30_000, 31_000]
    assert [row[1] for row in stored(cool)] == [22_000, 22_500]


def test_a_channel_without_probe_is_asked_for_or_left_out() -> None:
    probe = probe_at()

    with pytest.raises(FileUndecidedError) as asked:
        take(BY_ROW, None, probe_for={"north": probe})
    report = take(BY_ROW, None, probe_for={"north": probe, "south": None})

    assert asked.value.fields == {
        "channels": "Which probe does channel 'south' belong to?"
    }
    assert [row[1] for row in stored(probe)] == [30_000, 31_000]
    assert report.readings == 2
    assert f"Channels: 'north' is probe {probe.code}." in report.read_as


@pytest.mark.parametrize(
    ("channel", "wrong"),
    [("west", "The file has no channel 'west'."), ("", "One is not enough.")],
)
def test_a_channel_that_the_file_has_not_is_refused(channel: str, wrong: str) -> None:
    with pytest.raises(UnknownChannelError) as refused:
        take(BY_ROW, None, probe_for={channel: probe_at()})

    assert refused.value.sentence == (
        f"{wrong} The file's channels: 'north', 'south'. Give each a probe, or leave "
        "it out."
    )


def test_a_single_channel_without_a_name_has_no_other() -> None:
    with pytest.raises(UnknownChannelError, match="one without a name"):
        take(PLAIN, None, probe_for={"west": probe_at()})


def test_leaving_every_channel_out_leaves_nothing() -> None:
    with pytest.raises(NothingForProbesError, match="Every channel"):
        take(PLAIN, None, probe_for={"": None})


def test_what_a_probe_does_not_measure_is_left_out_and_said() -> None:
    probe = probe_at(measures_humidity=False)

    report = take(PLAIN, probe)

    assert stored(probe) == [(at, temperature, None) for at, temperature, _ in TAKEN]
    assert (
        f"3 values of humidity were left out: probe {probe.code} is not set up to "
        "measure that." in report.notes
    )


def test_a_file_without_anything_its_probe_measures_is_refused_and_recorded() -> None:
    probe = probe_at(
        measures_temperature=False, measures_humidity=False, measures_uv_index=True
    )

    with pytest.raises(NothingForProbesError) as refused:
        take(PLAIN, probe)

    record = ReadingImport.objects.get()
    assert not record.accepted
    assert record.report["reason"] == refused.value.sentence
    assert refused.value.sentence.endswith(
        "Choose the probe that made the file, or set the probe up to measure this."
    )


def test_probes_in_two_zones_need_the_zone_of_the_clock() -> None:
    lisbon, rome = probe_at("Europe/Lisbon"), probe_at("Europe/Rome")
    probe_for = {"north": lisbon, "south": rome}

    with pytest.raises(ZonesDifferError, match=r"Europe/Lisbon and Europe/Rome"):
        take(BY_ROW, None, probe_for=probe_for)
    take(BY_ROW, None, probe_for=probe_for, answers=Answers(zone="Europe/Rome"))

    assert stored(lisbon)[0][0] == stored(rome)[0][0] == "01 09:00"


@pytest.mark.parametrize(
    ("code", "offer"),
    [
        ("tub-12-basking", "Did you mean TUB-12-BASKING?"),
        ("nothing like it", "Probes there are: TUB-12-BASKING."),
    ],
)
def test_an_unknown_probe_is_answered_with_near_ones(code: str, offer: str) -> None:
    probe_at(code="TUB-12-BASKING")

    with pytest.raises(UnknownProbeError) as refused:
        probes_by_code(codes=[code])

    assert refused.value.sentence == f"There is no probe {code!r}. {offer}"
