"""The pages of hatch forecasts: in sentences, with drawings and the numbers behind."""

from datetime import date, timedelta
from html import unescape
from xml.etree import ElementTree as ET
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from clutches.models import Clutch, Egg
from core.models import User
from core.units import TemperatureUnit
from husbandry.models import CareProfile
from husbandry.rules.vocabulary import Zone
from tests.api.test_forecasts import reared
from tests.clutches.nest import LAID, Nest, make_nest
from tests.factories import (
    SHIPPED_PROFILE,
    ForecastFactory,
    IncubationPhaseFactory,
    IncubatorDayFactory,
    ProbeFactory,
    UserFactory,
)
from tests.staff.conftest import client_of

pytestmark = pytest.mark.django_db
AREA = "chart-area"
# Where the plot of a wide drawing ends.
RIGHT_EDGE = "704.0"
SVG = "{http://www.w3.org/2000/svg}"
PAGE = "/breeding/forecasts/"
TODAY = timezone.localdate(timezone=ZoneInfo("Europe/Lisbon"))
ROW = """
  - id: development-zero
    matter: development_zero_c
    low: 16
    high: 16
    source: memory
    standing: from_memory
    source_note: Invented for the tests.
"""
DEGREE_DAYS = ROW.replace("-zero", "-total").replace("_zero_c", "_degree_days")


def text(client: Client, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    words = (
        unescape(answer.content.decode()).replace("\u00a0", " ").replace("\u202f", " ")
    )
    return " ".join(words.split())


def publish(*rows: str) -> None:
    written = SHIPPED_PROFILE.read_text(encoding="utf-8")
    CareProfile.objects.update(
        source_text=written.replace("\nincubation:", "\nincubation:" + "".join(rows))
    )


def drawing(client: Client, path: str) -> ET.Element:
    answer = client.get(path)
    assert answer.headers["Content-Type"] == "image/svg+xml"
    return ET.fromstring(answer.content)


def classes(svg: ET.Element) -> list[str]:
    return [one.get("class", "") for one in svg.iter() if one.get("class")]


def path_of(clutch: Clutch, rest: str = "forecast/") -> str:
    return f"/breeding/clutches/{clutch.code}/{rest}"


def forecast_on(nest: Nest, on: date, *, early: int, late: int) -> None:
    laid = nest.clutch.laid_on
    ForecastFactory.create(
        clutch=nest.clutch,
        box=nest.box,
        on=on,
        basis="own_clutches",
        earliest_on=laid + timedelta(days=early),
        likely_on=laid + timedelta(days=(early + late) // 2),
        latest_on=laid + timedelta(days=late),
        coverage="0.900",
        development=0.25,
        evidence={"past": 4, "hours": 2400, "measured": 0.975},
    )


def test_nothing_on_record(keeper: Client) -> None:
    told = text(keeper, PAGE)

    assert "No clutch of eggs is on record" in told
    assert "No night has forecast eggs" in told


def test_by_the_profile_alone(keeper: Client) -> None:
    reared("a", 190, 192)

    told = text(keeper, PAGE)

    assert (
        "Forecasts stand on the care profile's window alone, 180 to 275 days "
        "(long-2008 (published))."
    ) in told
    assert "Of own clutches 1 can be learned from; 3 are the least." in told
    assert "from day 65, the middle of 50 to 80 (andrews-donoghue-2004" in told
    assert "None of them could be forecast by the others yet." in told


def test_without_window_or_rest(keeper: Client) -> None:
    make_nest()
    written = SHIPPED_PROFILE.read_text(encoding="utf-8")
    begin, end = (
        written.index(f"\n  - id: eggs-{row}") for row in ("diapause", "judged")
    )
    bare = (written[:begin] + written[end:]).replace(": hatch_days", ": gestation_days")
    CareProfile.objects.update(source_text=bare)

    told = text(keeper, PAGE)

    assert "nothing: the care profile says no window." in told
    assert "Embryos rest" not in told


def test_by_clutches_kept_alike_with_how_they_held(keeper: Client) -> None:
    for number, code in enumerate("abcd"):
        reared(code, 190 + 2 * number, 194 + 2 * number, 198 + 2 * number)
    reared("early", 40, 41)

    told = text(keeper, PAGE)

    assert "how long 4 clutches of one's own took" in told
    assert "kept within 0.5 °C of at least 3 of them" in told
    assert "4 of 4 clutches hatched wholly within the window" in told
    assert "between 51 and 100 %, 95 times in 100" in told
    assert "meant to hold 90 %." in told
    assert "On average they hatched when it was likely; the mean miss" in told
    assert "C-early is left out: it hatched before the care profile's rest" in told
    assert '<td data-head="Hatched">day 190 to 198, half by 194</td>' in told
    assert "26.0 °C, 100 % measured" in told


def test_by_a_fitted_rate_in_the_readers_unit(keeper: Client) -> None:
    for number, celsius in enumerate((24.0, 25.0, 26.0, 27.0, 28.0)):
        day = round(65 + 1300 / (celsius - 16))
        reared(f"f{number}", day - 1, day, day + 1, celsius=celsius)
    metric = text(keeper, PAGE)
    User.objects.update(temperature_unit=TemperatureUnit.F.value)

    told = text(keeper, PAGE)

    assert "stands still at 16.1 °C (between 15.9 °C and 16.3 °C, 95 times" in metric
    assert "and takes 1285 degree-days above it (°C × days)" in metric
    assert "stands still at 61.0 °F (between" in told
    assert "and takes 2312 degree-days above it (°F × days)" in told
    assert "a window reaches from −2.1 to +2.3 days" in told
    assert "by Student's t, which is wide for few" in told


def test_by_a_stated_zero(keeper: Client) -> None:
    for code in "abc":
        reared(code, 194, 195, 196)
    publish(ROW)

    told = text(keeper, PAGE)

    assert "stands still at 16.0 °C as the care profile states" in told
    assert "takes 1300 degree-days above it (°C × days)" in told


def test_by_a_published_rate(keeper: Client) -> None:
    make_nest()
    publish(ROW, DEGREE_DAYS.replace("16", "1300"))

    told = text(keeper, PAGE)

    assert (
        "Forecasts stand on the care profile's rate (from memory, not verified)" in told
    )
    assert "No coverage is stated yet" in told


def test_many_are_told_in_the_order_of_their_misses(keeper: Client) -> None:
    for number in range(20):
        reared(f"m{number:02}", 190 + number, 194 + number)
    publish(ROW)

    assert "in the order of their misses" in text(keeper, PAGE)


def test_rate_that_runs_late_is_told(keeper: Client) -> None:
    for code in "ab":
        reared(code, 194, 195, 196)
    publish(ROW, DEGREE_DAYS.replace("16", "1400"))

    told = text(keeper, PAGE)

    assert "On average they hatched 10.0 days earlier than was likely" in told


def test_what_is_expected_now(keeper: Client) -> None:
    nest = make_nest()
    forecast_on(nest, LAID + timedelta(days=100), early=185, late=211)

    told = text(keeper, PAGE)

    assert f'href="{path_of(nest.clutch)}"' in told
    assert "Box BX-mill: between 5 Jul 2026 and 31 Jul 2026" in told
    assert "(by how long earlier clutches here took and how warm they were" in told
    assert "from 4 clutches; meant to hold for 90 % of clutches)." in told


@pytest.fixture
def moving() -> Nest:
    """Make eggs of 120 days with nights that told a window, one week left out."""
    nest = make_nest()
    nest.clutch.laid_on = TODAY - timedelta(days=120)
    nest.clutch.save()
    probe = ProbeFactory.create(enclosure=nest.incubator, zone=Zone.EGGS.value)
    nest.box.stays.update(from_at=timezone.now() - timedelta(days=119))
    for egg in nest.eggs:
        egg.places.update(from_at=timezone.now() - timedelta(days=119))
    for back in range(100, 0, -1):
        on = TODAY - timedelta(days=back)
        begun = timezone.make_aware(
            timezone.datetime(on.year, on.month, on.day), ZoneInfo("UTC")
        )
        hours = [26_000] * 24 if back % 10 else [None] * 24
        IncubatorDayFactory.create(
            probe=probe, on=on, start_s=int(begun.timestamp()), hours_milli_c=hours
        )
        if not 40 < back < 50:
            wide = 20 if back > 60 else 10
            forecast_on(nest, on, early=200 - wide, late=200 + wide)
    return nest


def test_page_of_one_clutch(keeper: Client, moving: Nest) -> None:
    told = text(keeper, path_of(moving.clutch))

    assert "Of 2400 hours since laying 98 % were measured" in told
    assert "25 % of development is reckoned done." in told
    # Of a hundred nights only those on which it moved.
    assert told.count('data-head="Window"') == 2
    assert "26.0 °C" in told
    assert "style=" not in told


def test_window_is_drawn_as_bands_with_open_gaps(keeper: Client, moving: Nest) -> None:
    svg = drawing(keeper, path_of(moving.clutch, "forecast.svg"))

    names = classes(svg)
    # Nights that were not reviewed leave the band open.
    assert names.count(AREA) == 2
    assert names.count("chart-beyond") == 1
    # The newest window goes on to where the dashed line meets it.
    ends = [d.get("d", "") for d in svg.iter(f"{SVG}path") if d.get("class") == AREA]
    assert f"L{RIGHT_EDGE}" in ends[-1]
    words = [one.text for one in svg.iter(f"{SVG}text")]
    assert "today" in words
    assert "window" in words
    title = svg.findtext(f"{SVG}title") or ""
    assert title.startswith("Hatch window of C-mill as each night told it; the newest")


def test_temperature_is_drawn_with_what_was_wanted(
    keeper: Client, moving: Nest
) -> None:
    svg = drawing(keeper, path_of(moving.clutch, "warmth.svg?size=narrow"))

    names = classes(svg)
    assert names.count("chart-wanted") == 1
    # Every tenth day nobody measured.
    assert names.count("chart-line") >= 9
    assert svg.get("width") == "350"


def test_plan_is_drawn_phase_by_phase(keeper: Client, moving: Nest) -> None:
    first = IncubationPhaseFactory.create(position=1, days=45)
    IncubationPhaseFactory.create(plan=first.plan, position=2, days=900)
    # Never reached within the drawing.
    IncubationPhaseFactory.create(plan=first.plan, position=3)
    moving.clutch.plan = first.plan
    moving.clutch.save()

    svg = drawing(keeper, path_of(moving.clutch, "warmth.svg"))

    assert classes(svg).count("chart-wanted") == 2


def test_dim_room(keeper: Client, moving: Nest) -> None:
    path = path_of(moving.clutch, "forecast.svg")

    assert keeper.get(path).content != keeper.get(f"{path}?light=dim").content


def test_boxes_are_told_apart(keeper: Client, moving: Nest) -> None:
    other = ForecastFactory.create(
        clutch=moving.clutch, on=TODAY - timedelta(days=1), evidence={}
    )

    svg = drawing(keeper, path_of(moving.clutch, "forecast.svg"))
    told = text(keeper, path_of(moving.clutch))

    words = [one.text for one in svg.iter(f"{SVG}text")]
    assert f"box {other.box}" in words
    assert f"Box {other.box}: between 9 Aug 2026" in told
    assert "how many clutches keep to it is not known" in told


def test_clutch_without_forecast_or_profile(keeper: Client) -> None:
    nest = make_nest(lying=False)
    CareProfile.objects.all().delete()

    told = text(keeper, path_of(nest.clutch))
    window = drawing(keeper, path_of(nest.clutch, "forecast.svg"))
    warm = drawing(keeper, path_of(nest.clutch, "warmth.svg"))

    assert "No night has forecast its eggs yet." in told
    assert "no night has told one yet" in (window.findtext(f"{SVG}title") or "")
    assert "Nobody measured where the eggs lay." in [
        one.text for one in warm.iter(f"{SVG}text")
    ]
    assert "chart-wanted" not in classes(warm)


def test_clutch_that_is_over_ends_with_its_last_egg(
    keeper: Client, moving: Nest
) -> None:
    Egg.objects.filter(clutch=moving.clutch).update(
        state="hatched", ended_on=TODAY - timedelta(days=30)
    )

    told = text(keeper, path_of(moving.clutch))
    svg = drawing(keeper, path_of(moving.clutch, "forecast.svg"))

    this_month = (TODAY - timedelta(days=5)).strftime("%b %Y")
    months = told[told.index("Month by month") :]
    assert this_month == TODAY.strftime("%b %Y") or this_month not in months
    # A stroke at the foot for the one day of hatching.
    strokes = [p.get("d", "") for p in svg.iter(f"{SVG}path")]
    assert sum(d.endswith("v-9") for d in strokes) == 1


def test_unknown_clutch(keeper: Client) -> None:
    assert keeper.get("/breeding/clutches/nobody/forecast/").status_code == 404


def test_no_more_queries_for_many_nights(moving: Nest) -> None:
    client = client_of(UserFactory.create())
    other = make_nest(site="barn")
    forecast_on(other, TODAY - timedelta(days=1), early=180, late=190)
    counted = []
    for nest in (other, moving):
        with CaptureQueriesContext(connection) as asked:
            text(client, path_of(nest.clutch))
        counted.append(len(asked))

    assert counted[0] <= counted[1] <= counted[0] + 1


def test_window_that_is_over_goes_no_further(keeper: Client) -> None:
    nest = make_nest()
    forecast_on(nest, LAID + timedelta(days=100), early=120, late=130)

    svg = drawing(keeper, path_of(nest.clutch, "forecast.svg"))

    [area] = [d.get("d", "") for d in svg.iter(f"{SVG}path") if d.get("class") == AREA]
    assert f"L{RIGHT_EDGE}" not in area
