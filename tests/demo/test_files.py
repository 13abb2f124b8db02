"""The demo's files are in different dialects, and reading them gives the probes back."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from demo.dialects import DIALECTS, american, german, iso
from demo.enclosures import FILES, PROBES
from demo.files import render, write_files
from demo.instruments import Series
from demo.nights import Nights
from demo.plans import NIGHTS, ProbePlan
from husbandry.rules.loggers.proposals import propose_mapping
from husbandry.rules.loggers.readings import parse_readings
from husbandry.rules.loggers.sheet import read_sheet
from husbandry.rules.vocabulary import Quantity, Zone

LISBON = ZoneInfo("Europe/Lisbon")
T, H, U = Quantity.TEMPERATURE_C, Quantity.HUMIDITY_PCT, Quantity.UV_INDEX


def pair(nights: Nights, *, silent_from: int | None = None) -> list[Series]:
    """Return the series of two probes of one file, in tenths; the second may be silent."""
    noise = np.random.default_rng(7)
    start_s, end_s = nights.bounds_s(1)[0], nights.bounds_s(NIGHTS)[1]
    at_s = np.arange(start_s + 180, end_s, 600, dtype=np.int64)
    size = len(at_s)
    perch = ProbePlan("X-1", "X", Zone.BASKING, (T, U), 10, 3, "x", "x01 perch")
    leaf = ProbePlan("X-2", "X", Zone.AMBIENT, (T, H), 10, 3, "x", "x01 leaf")
    wet = np.round(noise.uniform(40, 100, size), 1)
    air = np.round(noise.uniform(-4, 30, size), 1)
    if silent_from is not None:
        wet[silent_from:] = air[silent_from:] = np.nan
    return [
        Series(
            perch,
            at_s,
            {
                T: np.round(noise.uniform(15, 33, size), 1),
                U: np.round(noise.uniform(0, 4, size), 1),
            },
        ),
        Series(leaf, at_s, {T: air, H: wet}),
    ]


def read(data: bytes, until: datetime):
    sheet = read_sheet(data, name="demo")
    proposal = propose_mapping(sheet, saved=None)
    blocking = [q for q in proposal.questions if q.blocking]
    parsed = parse_readings(sheet, proposal.mapping, site_zone=LISBON, until=until)
    return blocking, parsed


@pytest.mark.parametrize("dialect", DIALECTS)
@pytest.mark.parametrize(
    "until",
    # Source: IANA time zone database: Lisbon changes on 29 Mar and 25 Oct 2026.
    [date(2026, 2, 12), date(2026, 4, 2), date(2026, 10, 31)],
)
def test_what_a_logger_wrote_is_read_back(dialect: str, until: date):
    series = pair(Nights(until, LISBON), silent_from=1500)
    data = render(series, dialect=DIALECTS[dialect], zone=LISBON)

    questions, parsed = read(data, datetime(2026, 11, 2, tzinfo=UTC))

    # Which instrument is which probe is all that a person has to say.
    assert [q.asked for q in questions] == ["channels"]
    assert parsed.refused == ()
    by_channel = {c.channel: c for c in parsed.channels}
    assert set(by_channel) == {"x01 perch", "x01 leaf"}
    for one in series:
        found = by_channel[one.probe.channel]
        kept = ~np.isnan(one.values[T])
        assert found.at.tolist() == one.at_s[kept].tolist()
        # Two decimals of °F are good for 0.003 K.
        error = found.temperature_milli_c / 1000 - one.values[T][kept]
        assert np.abs(error).max() < 0.004
    humidity = by_channel["x01 leaf"].humidity_milli_pct
    assert humidity.tolist() == np.round(series[1].values[H][:1500] * 1000).tolist()
    uv_index = by_channel["x01 perch"].uv_index_milli
    assert uv_index.tolist() == np.round(series[0].values[U] * 1000).tolist()


def test_dialects_write_stamps_in_their_own_way():
    noon = datetime(2027, 3, 7, 12, 5, tzinfo=LISBON)
    midnight = datetime(2027, 8, 17, 0, 5, tzinfo=LISBON)

    assert german(noon) == ("07.03.2027", "12:05")
    assert american(noon) == ("3/7/2027", "12:05:00 PM")
    assert american(midnight) == ("8/17/2027", "12:05:00 AM")
    assert iso(noon) == ("2027-03-07T12:05:00+00:00",)
    assert iso(midnight) == ("2027-08-17T00:05:00+01:00",)


def test_dialects_differ_in_what_makes_reading_them_hard():
    series = pair(Nights(date(2026, 2, 12), LISBON), silent_from=1500)
    heads, tails = {}, {}
    for name, dialect in DIALECTS.items():
        data = render(series, dialect=dialect, zone=LISBON)
        heads[name] = data[:200]
        tails[name] = data.rstrip().splitlines()[-1].decode(dialect.encoding)

    assert heads["german"].startswith(b"Datum;Uhrzeit;x01 perch Temperatur (\xb0C);")
    assert heads["american"].startswith(b"\xef\xbb\xbfDate,Time,x01 perch Temp")
    assert "°F".encode() in heads["american"]
    assert heads["rack"].startswith(b"\xef\xbb\xbfDate Time,x01 perch Temp")
    assert heads["iso"].startswith(b"timestamp,x01 perch temp_c,")
    assert heads["tabbed"].startswith(b"Recorder export\nPlace: arrivals room\n\nDate/")
    perch = f"{series[0].values[T][-1]:.1f}"
    uv_index = f"{series[0].values[U][-1]:.1f}"
    assert tails == {
        "german": f"12.02.2026;23:53;{perch};{uv_index};;".replace(".", ",").replace(
            "12,02,2026", "12.02.2026"
        ),
        "american": f"2/12/2026,11:53:00 PM,{float(perch) * 1.8 + 32:.2f},{uv_index},,",
        "iso": f"2026-02-12T23:53:00+00:00,{perch},{uv_index},,",
        "rack": f"2026-02-12 23:53:00,{perch},{uv_index},-200,-200",
        "tabbed": f"12/02/2026 23:53\tx01 perch\t{perch}\t---\t{uv_index}",
    }


def test_every_dialect_is_spoken_and_every_probe_has_its_file(tmp_path):
    assert set(FILES.values()) == set(DIALECTS)
    assert {probe.file for probe in PROBES} == set(FILES)
    for name in FILES:
        inside = [probe for probe in PROBES if probe.file == name]
        assert len({(probe.interval_min, probe.offset_min) for probe in inside}) == 1
        assert len({probe.channel for probe in inside}) == len(inside)


def test_files_are_written_under_their_names(tmp_path):
    series = pair(Nights(date(2026, 2, 12), LISBON))

    paths = write_files(series, dialects={"x": "iso"}, zone=LISBON, folder=tmp_path)

    assert paths == [tmp_path / "x"]
    expected = render(series, dialect=DIALECTS["iso"], zone=LISBON)
    assert paths[0].read_bytes() == expected
