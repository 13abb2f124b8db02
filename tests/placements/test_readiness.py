"""Homes' enclosures: described, measured, judged as the nightly review judges."""

from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from itertools import product
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from core.errors import DomainError
from core.models import AuditEntry
from core.zones import day_bounds
from husbandry.actions.review import review_night
from husbandry.models import Conditions, Reading, Sighting
from husbandry.rules.import_answers import Answers, FileUndecidedError
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from husbandry.rules.vocabulary import EnclosureKind, Quantity, Sex, Zone
from placements.actions.home_readings import (
    MOST_READINGS,
    TooManyReadingsError,
    add_readings,
    import_readings,
)
from placements.actions.readiness import (
    MOST_ENCLOSURES,
    HomeErasedError,
    WrongHomeError,
    choose_enclosure,
    describe_enclosure,
    review_readiness,
)
from placements.models import HomeEnclosure, HomeReading, ReadinessReview
from placements.queries.home_enclosures import readings_of
from placements.queries.readiness import newest_review
from placements.rules.readiness.details import EnclosureDetails, EnclosureDetailsError
from placements.rules.readiness.files import LARGEST_FILE_BYTES, HomeFileError
from placements.rules.readiness.typed import TypedReading
from placements.rules.vocabulary import Readiness, ReadinessMatter, UvbLamp
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    CareProfileFactory,
    EnclosureFactory,
    HomeEnclosureFactory,
    HomeFactory,
    HomeReadingFactory,
    PlacementFactory,
    ProbeFactory,
    ReadinessReviewFactory,
    SetupFactory,
    SpeciesFactory,
    StayFactory,
)

pytestmark = pytest.mark.django_db

LISBON = ZoneInfo("Europe/Lisbon")
CSV = b"Time;Temperature (C);Humidity (%)\n" + b"".join(
    f"2026-03-01 {hour:02}:{minute:02};21.5;70\n".encode()
    for hour, minute in product(range(24), (0, 30))
)


def lived(on: date, seed: int) -> dict[int, tuple[int, int]]:
    """A day of five-minute readings with a gap, by second: temperature, humidity."""
    luck = Random(seed)
    start_s, end_s = day_bounds(on, zone=LISBON)
    warm, damp, found = 17_000, 80_000, {}
    for at in range(start_s + luck.randrange(300), end_s, 300):
        lit = 7 * 3600 <= at - start_s < 19 * 3600
        warm += luck.randint(-400, 400) + ((23_500 if lit else 16_000) - warm) // 20
        damp += luck.randint(-900, 900) + ((40_000 if lit else 85_000) - damp) // 20
        if at % 40 != 0 and not 50_000 < at - start_s < 53_000:
            found[at] = warm, damp
    return found


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_same_readings_give_the_same_minutes_as_the_night_review(seed: int) -> None:
    CareProfileFactory()
    animal = AnimalFactory()
    enclosure = EnclosureFactory()
    SetupFactory(enclosure=enclosure)
    StayFactory(animal=animal, enclosure=enclosure)
    probe = ProbeFactory(enclosure=enclosure)
    home = HomeEnclosureFactory(
        lights_on=time(7),
        lights_off=time(19),
        laying_bin=True,
        sees_others=False,
    )
    nights = [TODAY - timedelta(days=back) for back in (4, 3, 2, 1)]
    measured_then = [
        (at, warm, damp)
        for number, on in enumerate(nights)
        for at, (warm, damp) in lived(on, 10 * seed + number).items()
    ]
    Reading.objects.bulk_create(
        Reading(probe=probe, at=at, temperature_milli_c=warm, humidity_milli_pct=damp)
        for at, warm, damp in measured_then
    )
    HomeReading.objects.bulk_create(
        HomeReading(
            enclosure=home,
            zone=Zone.AMBIENT.value,
            quantity=quantity,
            at=datetime.fromtimestamp(at, UTC),
            value_milli=value,
            recorded_at=NOW,
        )
        for at, warm, damp in measured_then
        for quantity, value in (("temperature_c", warm), ("humidity_pct", damp))
    )
    for on in nights:
        review_night(site=enclosure.room.site, on=on, by=None, at=NOW)

    review = review_readiness(enclosure=home, animal=animal, on=TODAY, by=None, at=NOW)

    judged = {
        (m["quantity"], m["period"], day["on"]): day
        for m in review.result
        if m["matter"] == "climate" and m["zone"] == "ambient"
        for day in m["found"]["measured"]
    }
    by_night = {
        (row.quantity, row.period, str(row.on)): row
        for row in Conditions.objects.filter(probe=probe)
    }
    assert len(judged) >= 12
    outside = 0
    for key, day in judged.items():
        row = by_night[key]
        for name in ("below_s", "above_s", "covered_s", "expected_s"):
            assert day[name] == getattr(row, name)
        assert day["mean"] == pytest.approx(row.mean, abs=5e-4)
        assert (day["lowest"], day["highest"]) == (row.lowest, row.highest)
        outside += row.below_s + row.above_s
    assert outside > 0
    assert any(day["outside"] for day in judged.values())
    assert {
        (day["on"], quantity, period)
        for (quantity, period, _), day in judged.items()
        if day["outside"]
    } == {
        (s["on"], f["quantity"], f["period"])
        for s, f in seen_outside()
        if (f["quantity"], f["period"], s["on"]) in judged
    }


def seen_outside() -> list[tuple[dict[str, Any], dict[str, Any]]]:
    return [
        ({"on": str(s.on)}, s.evidence)
        for s in Sighting.objects.filter(
            kind__in=("below_target", "above_target"), seen=True
        )
    ]


def measured(
    enclosure: HomeEnclosure, *, days: int, zone: str, quantity: str, **values: int
) -> None:
    """Values every ten minutes: `lit` while the lights burn, else `dark`."""
    start_s, _ = day_bounds(TODAY - timedelta(days=days), zone=LISBON)
    end_s, _ = day_bounds(TODAY, zone=LISBON)
    HomeReading.objects.bulk_create(
        HomeReading(
            enclosure=enclosure,
            zone=zone,
            quantity=quantity,
            at=datetime.fromtimestamp(at, UTC),
            # Instruments never show one value for a day.
            value_milli=values[
                "lit" if 8 <= (at - start_s) % 86_400 / 3600 < 20 else "dark"
            ]
            + at // 600 % 3,
            recorded_at=NOW,
        )
        for at in range(start_s, end_s, 600)
    )


def matter(review: ReadinessReview, **wanted: Any) -> dict[str, Any]:
    (found,) = (m for m in review.result if all(m[k] == v for k, v in wanted.items()))
    return found


def ready_home(**values: Any) -> HomeEnclosure:
    enclosure = HomeEnclosureFactory(
        **{"laying_bin": True, "sees_others": False, **values}
    )
    for zone, quantity, lit, dark in (
        ("basking", "temperature_c", 27_000, 17_000),
        ("ambient", "temperature_c", 24_000, 16_000),
        ("ambient", "humidity_pct", 40_000, 85_000),
    ):
        measured(enclosure, days=3, zone=zone, quantity=quantity, lit=lit, dark=dark)
    return enclosure


def test_a_complete_home_is_ready() -> None:
    CareProfileFactory()
    animal = AnimalFactory()

    review = review_readiness(
        enclosure=ready_home(), animal=animal, on=TODAY, by=None, at=NOW
    )

    assert {(m["matter"], m["state"]) for m in review.result} == {
        (m.value, "as_wanted") for m in ReadinessMatter
    }
    assert review.outcome == Readiness.AS_WANTED.value
    assert all(m["basis"]["source"] for m in review.result)
    assert {m["stage"] for m in review.result} == {"adult"}
    entry = AuditEntry.objects.get(verb="review_readiness")
    assert entry.after["outcome"] == "as_wanted"


def test_a_home_without_readings_is_not_ready() -> None:
    CareProfileFactory()
    enclosure = HomeEnclosureFactory(laying_bin=True, sees_others=False)

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    assert review.outcome == Readiness.NOT_KNOWN.value
    climate = [m for m in review.result if m["matter"] == "climate"]
    assert {(m["state"], m["why"]) for m in climate} == {("not_known", "not_measured")}


@pytest.mark.parametrize(("days", "state"), [(2, "not_known"), (3, "as_wanted")])
def test_climate_is_judged_from_three_days_on(days: int, state: str) -> None:
    CareProfileFactory()
    enclosure = HomeEnclosureFactory()
    measured(
        enclosure,
        days=days,
        zone="ambient",
        quantity="temperature_c",
        lit=24_000,
        dark=16_000,
    )

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    day = matter(review, zone="ambient", quantity="temperature_c", period="day")
    assert (day["state"], day["found"]["days"]) == (state, days)


def test_one_hot_hour_today_counts_at_once() -> None:
    CareProfileFactory()
    enclosure = ready_home()
    HomeReadingFactory(enclosure=enclosure, zone="basking", at=NOW, value_milli=36_000)

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    basking = matter(review, zone="basking", quantity="temperature_c", period="day")
    assert (basking["state"], basking["why"]) == ("not_as_wanted", "outside")
    assert basking["found"]["measured"][0]["highest"] == 36
    assert review.outcome == Readiness.NOT_AS_WANTED.value


def test_days_before_the_newest_three_do_not_count() -> None:
    CareProfileFactory()
    enclosure = ready_home()
    HomeReadingFactory.create_batch(1)
    old = NOW - timedelta(days=5)
    HomeReadingFactory(enclosure=enclosure, zone="basking", at=old, value_milli=50_000)

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    assert review.outcome == Readiness.AS_WANTED.value


def test_a_probe_that_stands_still_shows_nothing() -> None:
    CareProfileFactory()
    enclosure = HomeEnclosureFactory()
    start_s, _ = day_bounds(TODAY - timedelta(days=3), zone=LISBON)
    HomeReading.objects.bulk_create(
        HomeReading(
            enclosure=enclosure,
            zone="ambient",
            quantity="humidity_pct",
            at=datetime.fromtimestamp(start_s + 600 * n, UTC),
            value_milli=45_000,
            recorded_at=NOW,
        )
        for n in range(3 * 144)
    )

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    day = matter(review, zone="ambient", quantity="humidity_pct", period="day")
    assert (day["state"], day["why"]) == ("not_known", "stood_still")


@pytest.mark.parametrize(
    ("told", "name", "state", "why"),
    [
        ({"height_cm": Decimal(100)}, "size", "not_as_wanted", "too_small"),
        ({"width_cm": Decimal("60.9")}, "size", "as_wanted", "as_wanted"),
        ({"laying_bin": False}, "laying_bin", "not_as_wanted", "no_laying_bin"),
        ({"other_animals": 1}, "company", "not_as_wanted", "shared"),
        ({"sees_others": True}, "sight", "not_as_wanted", "in_sight"),
        ({"sees_others": None}, "sight", "not_known", "not_said"),
        (
            {"lights_on": time(2)},
            "light_hours",
            "not_as_wanted",
            "light_hours",
        ),
        ({"uvb_lamp": "none"}, "uvb_lamp", "not_as_wanted", "no_lamp"),
        ({"uvb_lamp": "compact"}, "uvb_lamp", "not_as_wanted", "wrong_lamp"),
        ({"uvb_lamp": "linear_t8"}, "uvb_lamp", "not_as_wanted", "wrong_lamp"),
        ({"uvb_lamp": "other"}, "uvb_lamp", "not_known", "lamp_needs_meter"),
        ({"uvb_percent": None}, "uvb_lamp", "not_known", "not_said"),
        ({"uvb_percent": Decimal(12)}, "uvb_lamp", "not_known", "lamp_needs_meter"),
        ({"uvb_distance_cm": None}, "uvb_lamp", "not_known", "not_said"),
        (
            {"uvb_distance_cm": Decimal(14)},
            "uvb_lamp",
            "not_as_wanted",
            "lamp_too_near",
        ),
        ({"uvb_distance_cm": Decimal(15)}, "uvb_lamp", "as_wanted", "as_wanted"),
        ({"uvb_distance_cm": Decimal(30)}, "uvb_lamp", "as_wanted", "as_wanted"),
        ({"uvb_distance_cm": Decimal(31)}, "uvb_lamp", "not_as_wanted", "lamp_too_far"),
    ],
)
def test_matters_are_told_apart(
    told: dict[str, Any], name: str, state: str, why: str
) -> None:
    CareProfileFactory()
    given = {"laying_bin": True, "sees_others": False, **told}

    review = review_readiness(
        enclosure=HomeEnclosureFactory(**given),
        animal=AnimalFactory(),
        on=TODAY,
        by=None,
        at=NOW,
    )

    found = matter(review, matter=name)
    assert (found["state"], found["why"]) == (state, why)


@pytest.mark.parametrize(
    ("milli", "state", "why"),
    [
        (3_000, "as_wanted", "measured"),
        (2_000, "as_wanted", "measured"),
        (4_001, "not_as_wanted", "measured_outside"),
        (1_999, "not_as_wanted", "measured_outside"),
    ],
)
def test_a_meter_goes_before_the_words_of_a_lamp(
    milli: int, state: str, why: str
) -> None:
    CareProfileFactory()
    enclosure = HomeEnclosureFactory(uvb_lamp=UvbLamp.COMPACT.value)
    HomeReadingFactory(
        enclosure=enclosure,
        quantity="uv_index",
        at=NOW - timedelta(days=1),
        value_milli=milli,
    )

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    uvb = matter(review, matter="uvb_lamp")
    assert (uvb["state"], uvb["why"]) == (state, why)
    assert uvb["basis"]["row"] == "uv-day"


def test_a_reading_by_night_says_nothing_of_the_lamp() -> None:
    CareProfileFactory()
    enclosure = HomeEnclosureFactory()
    midnight = datetime(2026, 3, 2, 0, 30, tzinfo=LISBON)
    HomeReadingFactory(
        enclosure=enclosure, quantity="uv_index", at=midnight, value_milli=0
    )

    review = review_readiness(
        enclosure=enclosure, animal=AnimalFactory(), on=TODAY, by=None, at=NOW
    )

    assert matter(review, matter="uvb_lamp")["why"] == "as_wanted"


def test_without_a_profile_nothing_is_known() -> None:
    review = review_readiness(
        enclosure=HomeEnclosureFactory(),
        animal=AnimalFactory(),
        on=TODAY,
        by=None,
        at=NOW,
    )

    assert review.outcome == Readiness.NOT_KNOWN.value
    assert [m["why"] for m in review.result] == ["no_profile"]


def test_a_species_without_a_profile_is_not_known_either() -> None:
    review = review_readiness(
        enclosure=HomeEnclosureFactory(),
        species=SpeciesFactory(),
        on=TODAY,
        by=None,
        at=NOW,
    )

    assert [m["why"] for m in review.result] == ["no_profile"]


def test_an_unknown_age_is_not_known_rather_than_ready() -> None:
    CareProfileFactory()
    animal = AnimalFactory(hatched_on=None, hatched_precision="unknown")

    review = review_readiness(
        enclosure=HomeEnclosureFactory(), animal=animal, on=TODAY, by=None, at=NOW
    )

    assert matter(review, matter="size")["why"] == "age_not_known"
    assert matter(review, matter="laying_bin")["why"] == "age_not_known"


def test_an_unknown_sex_leaves_the_laying_bin_open() -> None:
    CareProfileFactory()

    review = review_readiness(
        enclosure=HomeEnclosureFactory(),
        species=SpeciesFactory(),
        on=TODAY,
        by=None,
        at=NOW,
    )

    assert matter(review, matter="laying_bin")["why"] == "sex_not_known"
    assert (review.sex, review.animal) == (Sex.UNKNOWN.value, None)
    assert {m["stage"] for m in review.result} == {"adult"}


@pytest.mark.parametrize("both", [True, False])
def test_a_review_is_of_an_animal_or_of_a_species(both: bool) -> None:
    named = {"animal": AnimalFactory(), "species": SpeciesFactory()} if both else {}

    with pytest.raises(DomainError, match="not both"):
        review_readiness(
            enclosure=HomeEnclosureFactory(), **named, on=TODAY, by=None, at=NOW
        )


DETAILS: dict[str, Any] = {
    "label": " Tall cage ",
    "kind": EnclosureKind.SCREEN,
    "width_cm": Decimal(61),
    "depth_cm": Decimal(61),
    "height_cm": Decimal(122),
    "time_zone": "Europe/Lisbon",
    "lights_on": time(8),
    "lights_off": time(20),
    "uvb_lamp": UvbLamp.LINEAR_T5,
}


def test_enclosures_are_described_and_described_anew() -> None:
    home = HomeFactory()
    enclosure = describe_enclosure(
        home=home, details=EnclosureDetails(**DETAILS), by=None, at=NOW
    )
    later = NOW + timedelta(hours=1)

    again = describe_enclosure(
        home=home,
        details=EnclosureDetails(**DETAILS | {"height_cm": Decimal(90)}),
        enclosure=enclosure,
        by=None,
        at=later,
    )

    assert (again.pk, again.label, again.recorded_at) == (
        enclosure.pk,
        "Tall cage",
        later,
    )
    changed = AuditEntry.objects.filter(verb="describe_enclosure").latest("pk")
    assert (changed.before["height_cm"], changed.after["height_cm"]) == ("122.0", "90")
    assert "Tall" not in f"{changed.before}{changed.after}"


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"label": " "}, "label"),
        ({"label": "x" * 61}, "label"),
        ({"note": "x" * 2_001}, "note"),
        ({"height_cm": Decimal(4)}, "height_cm"),
        ({"width_cm": Decimal("NaN")}, "width_cm"),
        ({"depth_cm": Decimal(1_001)}, "depth_cm"),
        ({"time_zone": "Mars/Base"}, "time_zone"),
        ({"lights_off": time(8)}, "lights_off"),
        ({"uvb_percent": Decimal(31)}, "uvb_percent"),
        ({"uvb_distance_cm": Decimal(0)}, "uvb_distance_cm"),
        ({"other_animals": -1}, "other_animals"),
        ({"other_animals": 51}, "other_animals"),
    ],
)
def test_impossible_enclosures_are_refused_by_name(
    told: dict[str, Any], field: str
) -> None:
    with pytest.raises(EnclosureDetailsError) as refused:
        describe_enclosure(
            home=HomeFactory(),
            details=EnclosureDetails(**DETAILS | told),
            by=None,
            at=NOW,
        )

    assert set(refused.value.fields) == {field}
    assert not HomeEnclosure.objects.exists()


def test_enclosures_of_other_homes_and_erased_homes_are_left_alone() -> None:
    details = EnclosureDetails(**DETAILS)
    with pytest.raises(WrongHomeError):
        describe_enclosure(
            home=HomeFactory(),
            details=details,
            enclosure=HomeEnclosureFactory(),
            by=None,
            at=NOW,
        )
    with pytest.raises(HomeErasedError):
        describe_enclosure(
            home=HomeFactory(contact="", erased_at=NOW),
            details=details,
            by=None,
            at=NOW,
        )


def test_a_home_describes_ten_enclosures_at_most() -> None:
    home = HomeFactory()
    HomeEnclosureFactory.create_batch(MOST_ENCLOSURES, home=home)

    with pytest.raises(EnclosureDetailsError, match="10 enclosures"):
        describe_enclosure(
            home=home, details=EnclosureDetails(**DETAILS), by=None, at=NOW
        )


def typed(value: str, **other: Any) -> TypedReading:
    return TypedReading(
        **{
            "zone": Zone.BASKING,
            "quantity": Quantity.TEMPERATURE_C,
            "at": NOW,
            "value": Decimal(value),
            **other,
        }
    )


def test_typed_readings_are_kept_beside_bad_ones() -> None:
    enclosure = HomeEnclosureFactory()
    readings = [
        typed("26.5"),
        typed("150.1"),
        typed("NaN"),
        typed("24", zone=Zone.EGGS),
        typed("24", at=NOW + timedelta(minutes=6)),
        typed("24", at=NOW - timedelta(days=31, hours=13)),
        typed("3.0005", quantity=Quantity.UV_INDEX),
    ]

    taken = add_readings(enclosure=enclosure, readings=readings, by=None, at=NOW)

    assert (taken.stored, taken.known, taken.conflicting) == (2, 0, 0)
    assert [place for place, _ in taken.problems] == [1, 2, 3, 4, 5]
    assert set(enclosure.readings.values_list("quantity", "value_milli")) == {
        ("temperature_c", 26_500),
        ("uv_index", 3_001),
    }
    again = add_readings(enclosure=enclosure, readings=[typed("26.5")], by=None, at=NOW)
    other = add_readings(enclosure=enclosure, readings=[typed("27")], by=None, at=NOW)
    assert (again.known, other.conflicting) == (1, 1)
    assert enclosure.readings.count() == 2


def test_nothing_typed_keeps_nothing() -> None:
    enclosure = HomeEnclosureFactory()

    taken = add_readings(enclosure=enclosure, readings=[], by=None, at=NOW)

    assert (taken.stored, taken.problems) == (0, ())


def test_a_loggers_file_is_taken_in_once() -> None:
    enclosure = HomeEnclosureFactory()
    file = {
        "enclosure": enclosure,
        "data": CSV,
        "file_name": "..\\..\\etc/my\x00 logger.csv",
        "zone": Zone.AMBIENT,
        "by": None,
        "at": NOW,
    }

    read, taken = import_readings(**file)
    _, again = import_readings(**file)

    assert (read.rows_read, read.rows_refused) == (48, 0)
    assert (taken.stored, again.stored, again.known) == (96, 0, 96)
    assert set(enclosure.readings.values_list("zone", "file_name").distinct()) == {
        ("ambient", "my logger.csv")
    }
    kept = readings_of(enclosure=enclosure, at=NOW)
    assert kept.interval_s == (1_800,)
    assert "logger" not in str(
        [e.after for e in AuditEntry.objects.filter(verb="add_home_readings")]
    )


def test_days_long_past_are_counted_and_left_out() -> None:
    old = CSV.replace(b"2026-03-01", b"2026-01-01") + CSV.partition(b"\n")[2]

    read, taken = import_readings(
        enclosure=HomeEnclosureFactory(),
        data=old,
        file_name="log.csv",
        zone=Zone.AMBIENT,
        by=None,
        at=NOW,
    )

    assert (read.too_old, taken.stored) == (96, 96)


@pytest.mark.parametrize(
    ("data", "error"),
    [
        (b"", UntrustedFileError),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)) * 9, UntrustedFileError),
        (b"PK\x03\x04 no spreadsheet", UntrustedFileError),
        (b"<html><script>alert(1)</script></html>", UntrustedFileError),
        (b"x" * (LARGEST_FILE_BYTES + 1), HomeFileError),
    ],
)
def test_what_is_no_loggers_file_is_refused_by_content(
    data: bytes, error: type[DomainError]
) -> None:
    with pytest.raises(error):
        import_readings(
            enclosure=HomeEnclosureFactory(),
            data=data,
            file_name="log.csv",
            zone=Zone.AMBIENT,
            by=None,
            at=NOW,
        )

    assert not HomeReading.objects.exists()


def test_what_a_file_does_not_say_is_asked_and_answered() -> None:
    data = b"Date;Temperature\n" + b"".join(
        f"0{day}/03/2026 {hour:02}:00;{70 + hour / 10}\n".encode()
        for day in (1, 2)
        for hour in range(11)
    )
    file: dict[str, Any] = {
        "enclosure": HomeEnclosureFactory(),
        "data": data,
        "file_name": "log.csv",
        "zone": Zone.AMBIENT,
        "by": None,
        "at": NOW,
    }

    with pytest.raises(FileUndecidedError) as asked:
        import_readings(**file)
    answers = Answers(day_order=DayOrder.DMY, units=(Unit.F,))
    _, taken = import_readings(**file, answers=answers)

    assert "day_order" in asked.value.fields
    assert taken.stored == 22
    assert HomeReading.objects.order_by("at")[0].value_milli == 21_111


def test_a_file_of_several_instruments_needs_to_be_told_which() -> None:
    data = b"Time;Sensor;Temperature (C)\n" + b"".join(
        f"2026-03-01 {hour:02}:00;{name};2{number}.0\n".encode()
        for hour in range(20)
        for number, name in enumerate(("top", "floor"))
    )
    file: dict[str, Any] = {
        "enclosure": HomeEnclosureFactory(),
        "data": data,
        "file_name": "log.csv",
        "zone": Zone.AMBIENT,
        "by": None,
        "at": NOW,
    }

    with pytest.raises(HomeFileError, match="'floor'") as asked:
        import_readings(**file)
    import_readings(**file, channel="floor")

    assert set(asked.value.fields) == {"channel"}
    assert set(HomeReading.objects.values_list("value_milli", flat=True)) == {21_000}


def test_nobody_looks_at_eggs_in_a_home() -> None:
    with pytest.raises(DomainError, match="eggs is no spot"):
        import_readings(
            enclosure=HomeEnclosureFactory(),
            data=CSV,
            file_name="log.csv",
            zone=Zone.EGGS,
            by=None,
            at=NOW,
        )


def test_one_enclosure_keeps_so_many_readings(monkeypatch: Any) -> None:
    monkeypatch.setattr("placements.actions.home_readings.MOST_READINGS", 95)

    with pytest.raises(TooManyReadingsError, match="96 readings"):
        import_readings(
            enclosure=HomeEnclosureFactory(),
            data=CSV,
            file_name="log.csv",
            zone=Zone.AMBIENT,
            by=None,
            at=NOW,
        )

    assert MOST_READINGS == 100_000
    assert not HomeReading.objects.exists()


def test_only_a_review_of_that_animal_in_that_enclosure_as_it_is_counts(
    django_assert_num_queries: Any,
) -> None:
    enclosure = HomeEnclosureFactory(recorded_at=NOW)
    placement = PlacementFactory(home=enclosure.home, home_enclosure=enclosure)
    bare = PlacementFactory()
    common = {"enclosure": enclosure, "animal": placement.animal}
    before = ReadinessReviewFactory(**common, judged_at=NOW - timedelta(minutes=1))
    ReadinessReviewFactory(enclosure=enclosure, judged_at=NOW)
    ReadinessReviewFactory(animal=placement.animal, judged_at=NOW)
    ids = [placement.pk, bare.pk]

    assert newest_review(placement_ids=ids) == {placement.pk: None, bare.pk: None}

    newest = ReadinessReviewFactory(
        **common,
        judged_at=NOW,
        outcome=Readiness.NOT_AS_WANTED.value,
        result=[
            {"matter": "size", "state": "not_as_wanted"},
            {"matter": "climate", "state": "not_known"},
            {"matter": "climate", "state": "not_known"},
            {"matter": "sight", "state": "as_wanted"},
        ],
    )
    with django_assert_num_queries(2):
        found = newest_review(placement_ids=ids)
    facts = found[placement.pk]
    assert facts is not None
    assert (facts.review, facts.outcome) == (newest.pk, Readiness.NOT_AS_WANTED)
    assert facts.review != before.pk
    assert facts.not_as_wanted == (ReadinessMatter.SIZE,)
    assert facts.not_known == (ReadinessMatter.CLIMATE,)
    assert found[bare.pk] is None


def test_where_an_animal_is_to_live_is_chosen_in_its_home() -> None:
    placement = PlacementFactory()
    mine = HomeEnclosureFactory(home=placement.home)

    choose_enclosure(placement=placement, enclosure=mine, by=None, at=NOW)
    with pytest.raises(WrongHomeError):
        choose_enclosure(
            placement=placement, enclosure=HomeEnclosureFactory(), by=None, at=NOW
        )
    gone = PlacementFactory(handed_over=True, home=placement.home)
    with pytest.raises(DomainError, match="not planned any more"):
        choose_enclosure(placement=gone, enclosure=mine, by=None, at=NOW)

    placement.refresh_from_db()
    assert placement.home_enclosure == mine
