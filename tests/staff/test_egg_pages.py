"""The pages of breeding: what is due, a box to tap, a clutch, an egg."""

import re
from datetime import date, datetime, timedelta
from decimal import Decimal
from html import unescape
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.test import Client
from django.utils import timezone

from clutches.models import BoxCheck, Clutch, Egg, EggCheck, EggPlace
from core.models import AuditEntry
from core.roles import Role
from tests.clutches.nest import Nest, make_nest
from tests.factories import (
    AnimalFactory,
    BoxCheckFactory,
    CandidateSireFactory,
    ClutchFactory,
    EggBoxFactory,
    EggCheckFactory,
    EggFactory,
    EggPlaceFactory,
    ForecastFactory,
    HatchlingFactory,
    IncubationPlanFactory,
)
from tests.husbandry.care_lists import queries_of
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db
BOX = "/breeding/boxes/BX-mill/"
DAY = timedelta(days=1)


def text(answer: Any) -> str:
    """Return the words of a page, with single spaces between."""
    page = re.sub(
        r"<(?:head|nav).*?</(?:head|nav)>",
        " ",
        unescape(answer.content.decode()),
        flags=re.DOTALL,
    )
    return " ".join(re.sub("<[^>]*>", " ", page).split())


def laid(nest: Nest, days: int) -> Nest:
    """Say that a clutch was laid so many days ago, by the clock of its site."""
    today = timezone.localdate(timezone=ZoneInfo(nest.site.time_zone))
    Clutch.objects.filter(pk=nest.clutch.pk).update(laid_on=today - days * DAY)
    EggPlace.objects.filter(egg__clutch=nest.clutch).update(
        from_at=timezone.now() - timedelta(days=max(days - 1, 0), minutes=5)
    )
    return nest


def today_of(nest: Nest) -> date:
    return timezone.localdate(timezone=ZoneInfo(nest.site.time_zone))


@pytest.fixture
def nest(db: None) -> Nest:
    """Four eggs on day 45, which is within their rest."""
    return laid(make_nest(eggs=4), 45)


def keys(nest: Nest, *numbers: int) -> list[int]:
    return [nest.eggs[number - 1].pk for number in numbers]


def record(client: Client, **typed: Any) -> Any:
    return client.post(f"{BOX}record/", typed, follow=True)


# The list


def test_without_eggs_the_page_says_what_to_do(keeper: Client) -> None:
    told = text(keeper.get("/breeding/"))

    assert "No egg is awaited. When a female has laid" in told
    assert "There is no box yet. Make one up in the back office" in told


def test_what_is_due_stands_first(nest: Nest, keeper: Client) -> None:
    Egg.objects.filter(number=1).update(state="pipped", pipped_on=today_of(nest))
    EggPlace.objects.filter(egg=nest.eggs[1]).update(until_at=timezone.now())

    told = text(keeper.get("/breeding/"))

    first, second, third = (
        told.index(words)
        for words in (
            "1 egg of C-mill has pipped: look again soon, and pull nothing out.",
            "1 egg of C-mill lies in no box: put them into one.",
            "Look into box BX-mill with 3 eggs of C-mill, 30 days late.",
        )
    )
    assert first < second < third < told.index("Clutches 1 · nearest window first")
    assert "Day 45, laid on" in told
    assert ": 3 incubating, 1 pipped." in told
    assert "Expected to rest still; no vessels say nothing yet." in told
    assert "(the care profile's window)" in told
    assert "Next: candle from" in told
    assert "in 45 days." in told


def test_late_candling_and_open_windows_are_due(nest: Nest, keeper: Client) -> None:
    laid(nest, 200)
    BoxCheckFactory.create(box=nest.box, at=timezone.now())

    told = text(keeper.get("/breeding/"))

    assert "Candle 4 eggs of C-mill, day 200: from now on it tells." in told
    assert "4 eggs of C-mill may hatch any day until" in told
    assert "Look into box" not in told.partition("Clutches")[0]
    laid(nest, 300)
    over = text(keeper.get("/breeding/"))
    assert "The window of C-mill ended on" in over
    assert "4 eggs left. Open none: forecasts run late as well as early." in over


def test_nothing_due_is_said_and_clutches_come_by_their_nearest_window(
    nest: Nest, keeper: Client
) -> None:
    laid(nest, 3)
    later = laid(make_nest(eggs=1, site="moor"), 5)
    today = today_of(nest)
    for one, days in ((nest, 10), (later, 20)):
        ForecastFactory.create(
            clutch=one.clutch,
            box=one.box,
            on=today - DAY,
            basis="own_clutches",
            earliest_on=today + days * DAY,
            likely_on=today + (days + 5) * DAY,
            latest_on=today + (days + 9) * DAY,
        )

    told = text(keeper.get("/breeding/"))

    assert "Nothing is due among the eggs today." in told
    assert told.index("C-mill") < told.index("C-moor")
    assert "most likely about" in told
    assert "clutches that hatched here; as of the night of" in told


def test_the_list_takes_the_same_queries_for_many(nest: Nest, keeper: Client) -> None:
    keeper.get("/breeding/")  # what is kept for the process is fetched once
    one = queries_of(lambda: keeper.get("/breeding/"))
    for number in range(4):
        clutch = ClutchFactory.create(code=f"C-{number}")
        egg = EggFactory.create(clutch=clutch)
        place = EggPlaceFactory.create(egg=egg)
        ForecastFactory.create(clutch=clutch, box=place.box)

    assert queries_of(lambda: keeper.get("/breeding/")) == one


def test_boxes_are_listed_with_their_room(nest: Nest, keeper: Client) -> None:
    EggBoxFactory.create(code="A-1", rows=2, columns=2)
    EggBoxFactory.create(code="Old", retired_on=today_of(nest))

    told = text(keeper.get("/breeding/")).partition("Boxes in use")[2]

    room = nest.incubator.room.name
    assert (
        f"A-1 0 of 4 places; in no incubator BX-mill 4 of 12 places; in I-mill, {room}"
        in told
    )
    assert "Old" not in told


# The box


def test_a_box_is_seen_from_above(nest: Nest, keeper: Client) -> None:
    EggCheckFactory.create(egg=nest.eggs[0], seen="vessels", mass_g=Decimal("1.450"))
    EggCheckFactory.create(egg=nest.eggs[1], seen="dark", mass_g=None)
    Egg.objects.filter(number=3).update(state="pipped", pipped_on=today_of(nest))

    page = keeper.get(BOX).content.decode()

    labels = re.findall(r'name="eggs"[^>]*aria-label="([^"]*)"', page)
    assert [label.partition(",")[0] for label in labels] == [
        "A1: egg 1 of C-mill",
        "B1: egg 2 of C-mill",
        "C1: egg 3 of C-mill",
        "A2: egg 4 of C-mill",
    ]
    assert labels[0] == (
        "A1: egg 1 of C-mill, incubating, day 45, vessels on 2 Mar 2026, 1.450 g"
    )
    assert labels[3] == "A2: egg 4 of C-mill, incubating, day 45, not candled"
    assert re.findall(r"<b>(\w+)</b><i>(.)</i>", page) == [
        *(("1", "✱"), ("2", "●"), ("3", "▲"), ("4", "·")),
    ]
    assert "✱ vessels; ● dark; ▲ pipped; · not candled yet." in text(keeper.get(BOX))
    assert page.count('class="hole"') == 8
    assert "<script" not in page
    assert "style=" not in page


def test_two_clutches_in_a_box_are_told_apart(nest: Nest, keeper: Client) -> None:
    other = EggFactory.create(clutch__code="C-2", number=9)
    EggPlaceFactory.create(egg=other, box=nest.box, row=4, column=3)

    page = keeper.get(BOX).content.decode()

    assert "<b>9a</b>" in page
    assert "<b>1b</b>" in page
    assert "a C-2; b C-mill." in text(keeper.get(BOX))


def test_who_may_not_record_only_looks(nest: Nest, visitor: Visitor) -> None:
    page = visitor(Role.VET).get(BOX).content.decode()

    assert "A1: egg 1 of C-mill" in page
    assert 'name="eggs"' not in page
    assert "Record it" not in page
    assert "Record the look" not in page


def test_tapped_eggs_are_candled_with_a_remark_and_taken_back(
    nest: Nest, keeper: Client
) -> None:
    answer = record(keeper, eggs=keys(nest, 1, 3), what="no_vessels", note="Dim lamp.")

    told = text(answer)
    assert "Kept: no vessels at 2 eggs." in told
    assert "no vessels on day 45: resting, not infertile. From day 90 on it" in told
    assert "So it is with 1 other egg." in told
    assert "Recorded last: no vessels at 2 eggs. Take it back" in told
    checks = EggCheck.objects.order_by("egg")
    assert [(c.egg_id, c.seen, c.note) for c in checks] == [
        (pk, "no_vessels", "Dim lamp.") for pk in keys(nest, 1, 3)
    ]

    back = text(keeper.post(f"{BOX}undo/", follow=True))

    assert "Taken back: no vessels at 2 eggs" in back
    assert "Recorded last" not in back
    assert not EggCheck.objects.filter(struck_at__isnull=True).exists()
    again = text(keeper.post(f"{BOX}undo/", follow=True))
    assert "There is nothing to take back here any more." in again


def test_named_places_are_candled_for_a_past_day(nest: Nest, keeper: Client) -> None:
    on = today_of(nest) - 3 * DAY

    answer = record(keeper, places="rows 1–2", what="vessels", on=on.isoformat())

    assert "Kept: vessels at 4 eggs." in text(answer)
    zone = ZoneInfo(nest.site.time_zone)
    at = {check.at for check in EggCheck.objects.all()}
    assert at == {datetime(on.year, on.month, on.day, 12, tzinfo=zone)}
    again = text(record(keeper, places="A1", what="vessels", on=on.isoformat()))
    assert "Kept: vessels at 0 eggs. 1 egg had it on record." in again


@pytest.mark.parametrize(
    ("what", "cause", "states", "said"),
    [
        ("pipped", "", {"pipped"}, "Kept: pipped: 2 eggs on"),
        ("failed", "mould", {"failed"}, "Kept: failed (mould): 2 eggs on"),
        ("pipped", "mould", {"pipped"}, "Kept: pipped: 2 eggs on"),
    ],
)
def test_what_became_of_eggs_is_recorded_and_taken_back(
    what: str, cause: str, states: set[str], said: str, nest: Nest, keeper: Client
) -> None:
    answer = record(keeper, eggs=keys(nest, 1), places="B1", what=what, cause=cause)

    assert said in text(answer)
    chosen = Egg.objects.filter(number__in=[1, 2])
    assert set(chosen.values_list("state", flat=True)) == states

    assert "Taken back:" in text(keeper.post(f"{BOX}undo/", follow=True))

    assert set(Egg.objects.values_list("state", flat=True)) == {"incubating"}
    assert EggPlace.objects.filter(until_at__isnull=True).count() == 4
    assert (
        AuditEntry.objects.latest("pk").reason == "Taken back on the page of the box."
    )


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        ({"what": "vessels"}, 400, "No egg is chosen: tap some, or name places."),
        ({"places": "A1"}, 400, "Say what was seen or what became of them."),
        (
            {"places": "D1", "what": "vessels"},
            400,
            "The box has no D1. It has 4 rows and 3 columns, A1 to C4.",
        ),
        ({"places": "row 4", "what": "vessels"}, 400, "No egg lies at row 4 of box"),
        ({"places": "A1", "what": "failed"}, 400, "Say why; unknown is an answer too."),
        ({"places": "A1", "what": "vessels", "on": "1/3"}, 400, "This is no date."),
        (
            {"places": "A1-B1", "what": "failed", "cause": "infertile"},
            409,
            "Egg 2 of C-mill (B1 of BX-mill) is on day 45, and before day 90 an egg",
        ),
        (
            {"places": "A1", "what": "pipped", "on": "2199-01-01"},
            409,
            "01 Jan 2199 has not come yet",
        ),
    ],
)
def test_what_cannot_be_is_said_beside_the_field_and_what_was_typed_stays(
    typed: dict[str, str], status: int, said: str, nest: Nest, keeper: Client
) -> None:
    answer = keeper.post(f"{BOX}record/", {"note": "Dim lamp.", **typed})

    page = unescape(answer.content.decode())
    assert answer.status_code == status
    assert said in page
    assert 'value="Dim lamp."' in page
    if "places" in typed:
        assert f'value="{typed["places"]}"' in page
    assert not EggCheck.objects.exists()
    assert set(Egg.objects.values_list("state", flat=True)) == {"incubating"}


def test_tapped_eggs_stay_tapped_when_something_is_wrong(
    nest: Nest, keeper: Client
) -> None:
    page = keeper.post(
        f"{BOX}record/", {"eggs": keys(nest, 2), "what": "failed"}
    ).content.decode()

    assert re.findall(r'value="(\d+)" checked', page) == [str(keys(nest, 2)[0])]
    assert re.findall(r'name="what" value="(\w+)" checked', page) == ["failed"]


def test_an_egg_that_left_the_box_meanwhile_cannot_be_chosen(
    nest: Nest, keeper: Client
) -> None:
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=timezone.now())

    answer = keeper.post(f"{BOX}record/", {"eggs": keys(nest, 1), "what": "vessels"})

    assert answer.status_code == 400
    assert not EggCheck.objects.exists()


def test_eggs_that_are_moved_at_the_same_moment_are_told(
    nest: Nest, keeper: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    # They left between the reading of the form and the deed.
    monkeypatch.setattr("staff.egg_deeds.eggs_in", lambda **_: [])

    answer = keeper.post(f"{BOX}record/", {"places": "A1", "what": "pipped"})

    assert answer.status_code == 409
    assert b"left box BX-mill meanwhile. Look again." in answer.content


def test_a_look_to_come_is_refused_egg_by_egg(nest: Nest, keeper: Client) -> None:
    told = text(record(keeper, places="A1", what="vessels", on="2199-01-01"))

    assert "has not come yet" in told
    assert "Kept:" not in told
    assert "Recorded last" not in told


def test_of_eggs_that_hatched_the_young_are_asked_for(
    nest: Nest, keeper: Client
) -> None:
    on = today_of(nest).isoformat()
    answer = keeper.post(
        f"{BOX}record/", {"places": "A1, B1", "what": "hatched", "on": on}
    )

    first, second = keys(nest, 1, 2)
    assert (answer.status_code, answer.headers["Location"]) == (
        302,
        f"{BOX}hatch/?egg={first}&egg={second}&on={on}",
    )
    assert set(Egg.objects.values_list("state", flat=True)) == {"incubating"}
    assert "Recorded last" not in text(keeper.get(BOX))


def test_what_cannot_be_taken_back_any_more_is_said(nest: Nest, keeper: Client) -> None:
    record(keeper, places="A1", what="vessels")
    EggCheck.objects.update(struck_at=timezone.now(), struck_reason="A slip.")

    told = text(keeper.post(f"{BOX}undo/", follow=True))

    assert "These entries were struck out already." in told


def test_a_look_is_recorded_and_tells_the_water(nest: Nest, keeper: Client) -> None:
    # Since the eggs came nothing was moved: what it lost is water.
    first = timezone.now() - 9 * DAY
    BoxCheckFactory.create(box=nest.box, at=first, mass_g=Decimal(410), water_g=None)

    answer = keeper.post(
        f"{BOX}look/",
        {"mass_g": "402,5", "water_g": "5", "look_note": "Dry."},
        follow=True,
    )

    look = BoxCheck.objects.latest("at")
    assert (look.mass_g, look.water_g, look.note) == (
        *(Decimal("402.5"), Decimal("5.0"), "Dry."),
    )
    told = text(answer)
    assert "Kept: a look into box BX-mill." in told
    assert "0.8 : 1 by mass (160.0 g of water, 200.0 g dry)" in told
    assert "A mass ratio is no water potential" in told
    assert "Water lost 7.50 g since" in told
    assert "2.50 g of water make up what was lost since it was first weighed." in told


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        ({"mass_g": "heavy"}, 400, "“heavy” is no mass"),
        ({"mass_g": "0"}, 409, "0 g cannot be"),
        ({"on": "2199-01-01"}, 409, "has not come yet"),
    ],
)
def test_a_look_that_cannot_be_is_refused(
    typed: dict[str, str], status: int, said: str, nest: Nest, keeper: Client
) -> None:
    answer = keeper.post(f"{BOX}look/", {"look_note": "Dry.", **typed})

    assert (answer.status_code, said in unescape(answer.content.decode())) == (
        status,
        True,
    )
    assert b'value="Dry."' in answer.content
    assert not BoxCheck.objects.exists()


def test_water_is_not_known_where_eggs_came_or_went(nest: Nest, keeper: Client) -> None:
    now = timezone.now()
    told = text(keeper.get(BOX))
    assert "Water lost not known Weigh the box with all in it, twice at least." in told
    BoxCheckFactory.create(box=nest.box, at=now - 9 * DAY)
    BoxCheckFactory.create(box=nest.box, at=now - DAY)
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=now - 2 * DAY)

    told = text(keeper.get(BOX))

    assert "eggs came or went between the weighings" in told
    assert "1 time eggs came or went between weighings" in told
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=now)
    BoxCheck.objects.filter(at=now - DAY).update(mass_g=Decimal(500))
    assert "nobody wrote down that water" in text(keeper.get(BOX))


def test_a_box_in_no_incubator_says_so(nest: Nest, keeper: Client) -> None:
    EggBoxFactory.create(code="A-1", substrate_g=None)
    nest.box.stays.update(until_at=timezone.now())

    assert "It stands in no incubator since" in text(keeper.get(BOX))
    never = text(keeper.get("/breeding/boxes/A-1/"))
    assert "It has stood in no incubator yet" in never
    assert "No egg lies in it." in never
    assert "not weighed when it was made up" in never
    assert keeper.get("/breeding/boxes/Z-9/").status_code == 404


def test_a_box_takes_the_same_queries_for_many_eggs(keeper: Client) -> None:
    laid(make_nest(eggs=1), 5)
    laid(make_nest(eggs=90, site="moor", rows=10, columns=9), 5)
    keeper.get(BOX)

    one = queries_of(lambda: keeper.get(BOX))
    many = queries_of(lambda: keeper.get("/breeding/boxes/BX-moor/"))

    assert many == one


# The clutch and the egg


def test_a_clutch_tells_all_that_is_on_record(nest: Nest, keeper: Client) -> None:
    sire = AnimalFactory.create(code="V-8", name="Rex", male=True)
    CandidateSireFactory.create(
        clutch=nest.clutch, sire=sire, probability=Decimal("0.75")
    )
    EggCheckFactory.create(egg=nest.eggs[0], seen="vessels")
    EggCheckFactory.create(egg=nest.eggs[1], seen="no_vessels")
    Egg.objects.filter(number=3).update(
        state="failed", cause="mould", ended_on=today_of(nest)
    )
    Egg.objects.filter(number=4).update(state="hatched", ended_on=today_of(nest))
    HatchlingFactory.create(
        clutch=nest.clutch, egg=nest.eggs[3], animal__code="V-9", animal__name="Ivo"
    )
    ForecastFactory.create(clutch=nest.clutch, box=nest.box)
    plan = IncubationPlanFactory.create(name="Cool first")
    Clutch.objects.update(plan=plan)

    told = text(keeper.get("/breeding/clutches/C-mill/"))

    assert "4 eggs set, 2 infertile to be seen at laying, 0 broken." in told
    assert "Now: 2 incubating, 1 hatched, 1 failed." in told
    assert "All together 40.50 g. Kept by the plan “Cool first”." in told
    assert "V-8 Rex 75 % mated before" in told
    assert "A male that is not known 25 %" in told
    assert (
        "Box BX-mill: 9 Aug 2026 to 12 Nov 2026, most likely about 25 Sep 2026" in told
    )
    assert re.search(r"2 Mar 2026 day -?\d+ 1 1 – –", told)
    assert "V-9 Ivo" in told
    assert "Egg 1 A1 of BX-mill incubating vessels, 2 Mar 2026 1.450 g" in told
    assert "failed (mould)" in told


def test_a_clutch_of_which_little_is_known_says_so(keeper: Client) -> None:
    ClutchFactory.create(code="C-1", dam=None, species=AnimalFactory.create().species)
    born = ClutchFactory.create(
        code="C-2", kind="live_young", eggs_set=0, eggs_infertile=0, born_alive=9
    )

    bare, live = (
        text(keeper.get(f"/breeding/clutches/{code}/")) for code in ("C-1", "C-2")
    )

    assert "Dam: not known." in bare
    assert "No male is on record that may be the sire." in bare
    assert "9 born alive, 0 born dead." in live
    assert f"Dam: {born.dam}" in live
    assert keeper.get("/breeding/clutches/C-9/").status_code == 404


def test_an_egg_tells_its_history_and_is_mended(nest: Nest, keeper: Client) -> None:
    record(keeper, places="A1", what="vessels")
    record(keeper, places="A1", what="failed", cause="mould")
    address = f"/breeding/eggs/{nest.eggs[0].pk}/"

    told = text(keeper.get(address))
    answer = keeper.post(
        f"{address}mend/",
        {"state": "incubating", "reason": "Another egg."},
        follow=True,
    )

    assert "It stands as failed (mould)" in told
    assert "A1 of box BX-mill" in told
    assert "Mended. " in text(answer)
    assert "It stands as incubating." in text(answer)
    assert Egg.objects.get(pk=nest.eggs[0].pk).state == "incubating"


@pytest.mark.parametrize(
    ("typed", "status", "said"),
    [
        ({"reason": ""}, 400, "This field is required."),
        ({"state": "hatched"}, 409, "hatched takes the day of that"),
        ({}, 409, "stands so on record already"),
    ],
)
def test_a_mend_that_cannot_be_is_refused(
    typed: dict[str, str], status: int, said: str, nest: Nest, keeper: Client
) -> None:
    address = f"/breeding/eggs/{nest.eggs[0].pk}/mend/"

    answer = keeper.post(address, {"state": "incubating", "reason": "A slip.", **typed})

    assert answer.status_code == status
    assert said in unescape(answer.content.decode())


def test_an_egg_that_comes_back_to_a_taken_place_is_told(
    nest: Nest, keeper: Client
) -> None:
    record(keeper, places="A1", what="failed", cause="mould")
    EggPlaceFactory.create(
        egg=EggFactory.create(clutch=nest.clutch, number=9),
        box=nest.box,
        from_at=timezone.now(),
    )

    mended = keeper.post(
        f"/breeding/eggs/{nest.eggs[0].pk}/mend/",
        {"state": "incubating", "reason": "Another egg."},
        follow=True,
    )

    assert "At A1 of box BX-mill another egg was put since" in text(mended)


def test_taking_back_tells_of_a_place_that_is_taken(nest: Nest, keeper: Client) -> None:
    record(keeper, places="A1", what="failed", cause="mould")
    EggPlaceFactory.create(
        egg=EggFactory.create(clutch=nest.clutch, number=9),
        box=nest.box,
        from_at=timezone.now(),
    )

    told = text(keeper.post(f"{BOX}undo/", follow=True))

    assert "At A1 of box BX-mill another egg was put since" in told
