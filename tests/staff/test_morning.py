"""The morning sheet: what it says, in which order, and what it never hides."""

from datetime import date, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from core.models import User
from core.roles import Role
from husbandry.actions.findings import acknowledge_finding
from husbandry.actions.review import review_night
from husbandry.models import Finding
from husbandry.rules.sentences.numbers import METRIC
from husbandry.rules.vocabulary import FindingKind, ReviewState, Urgency
from staff.mornings import FULL_CARDS, Sheet, sheet_of
from staff.units import clock
from tests.factories import (
    NOW,
    AnimalFactory,
    FindingFactory,
    ProbeFactory,
    ReviewRunFactory,
    SiteFactory,
    StayFactory,
    UnclaimedReadingsFactory,
    UserFactory,
)
from tests.nightly.world import (
    MORNING,
    ON,
    World,
    ambient,
    day,
    record,
    record_good_day,
    wobble,
)
from tests.staff.conftest import Visitor, client_of
from tests.staff.samples import COLD, OVERDUE, SILENT, overdue, seen

pytestmark = pytest.mark.django_db


def sheet(on: date | None = None) -> Sheet:
    return sheet_of(at=MORNING, on=on, units=METRIC)


def reviewed(**fields: Any) -> Any:
    site = SiteFactory.create(name="Ribeira House")
    fields = {"animals": 12, "probes": 24, "coverage": 1.0, **fields}
    ReviewRunFactory.create(site=site, on=ON, **fields)
    return site


def test_without_a_site_the_page_says_what_to_do_first(owner: Client) -> None:
    text = owner.get("/").content.decode()

    assert "There is no site yet" in text
    assert "Nothing was found wrong" not in text


def test_without_a_review_the_page_does_not_claim_health(owner: Client) -> None:
    SiteFactory.create()

    text = owner.get("/").content.decode()

    assert "No night was ever reviewed here" in text
    assert "manage.py nightly" in text
    assert "Nothing was found wrong" not in text


def test_the_first_line_says_what_was_reviewed_and_how_completely(
    world: World,
) -> None:
    record_good_day(world, ON)
    review_night(site=world.site, on=ON, by=None, at=MORNING)

    found = sheet()

    [line] = found.reviewed
    assert line.text == (
        f"{world.site.name}: Sun 1 Mar 2026 was reviewed on Mon 2 Mar 2026 at 06:00, "
        "for 1 animal. 100 % of the data from 2 probes were there."
    )
    assert line.whole
    assert (found.title, found.found) == ("Morning after Sun 1 Mar 2026", 0)


def test_nearly_whole_is_not_called_whole() -> None:
    reviewed(coverage=0.9971)

    [line] = sheet().reviewed

    assert "almost 100 % of the data from 24 probes" in line.text


def test_missing_data_are_marked_on_the_first_line() -> None:
    reviewed(coverage=0.83)

    [line] = sheet().reviewed

    assert "83 % of the data" in line.text
    assert not line.whole


def test_without_probes_the_line_says_that_nothing_was_compared() -> None:
    reviewed(coverage=None, probes=0)

    [line] = sheet().reviewed

    assert "No probe was in use, so no conditions were compared." in line.text
    assert not line.whole


def test_nights_without_a_review_stand_on_top(world: World) -> None:
    ReviewRunFactory.create(site=world.site, on=ON - timedelta(days=3))
    ReviewRunFactory.create(
        site=world.site, on=ON - timedelta(days=2), state=ReviewState.FAILED.value
    )
    ReviewRunFactory.create(
        site=world.site, on=ON - timedelta(days=1), stale_since=MORNING
    )
    for back in range(4, 15):
        ReviewRunFactory.create(site=world.site, on=ON - timedelta(days=back))

    unknown = " ".join(sheet().unknown)

    assert "Fri 27 Feb 2026 could not be reviewed" in unknown
    assert "Sat 28 Feb 2026 was reviewed, but something was recorded" in unknown
    assert "Sun 1 Mar 2026 has not been reviewed" in unknown


def test_many_nights_without_a_review_are_one_line(world: World) -> None:
    [line] = sheet().unknown

    assert line.startswith(
        f"{world.site.name}: 15 nights from Sun 15 Feb 2026 to Sun 1 Mar 2026 have "
    )


def test_animals_that_could_not_be_reviewed_are_named() -> None:
    reviewed(
        state=ReviewState.PARTIAL.value, failures=[{"animal": "V-9", "error": "x"}]
    )

    [line] = sheet().unknown

    assert line == (
        "Ribeira House: 1 animal could not be reviewed: V-9. Look at them yourself."
    )


def test_silent_probes_stand_on_top_and_carry_the_mark_of_missing_data() -> None:
    site = reviewed()
    probe = ProbeFactory.create(code="P-1")
    FindingFactory.create(
        site=site,
        key=f"no_data:probe:{probe.pk}",
        kind=FindingKind.NO_DATA.value,
        animal=None,
        probe=probe,
        urgency="today",
        opened_on=ON,
        last_seen_on=ON,
        evidence=SILENT,
    )

    found = sheet()

    [line] = found.unknown
    assert line == (
        "1 probe was silent: P-1 (Nursery rack, N-12) all day. What happened meanwhile "
        "nobody knows."
    )
    [card] = found.groups[1].cards
    assert card.mark == "unknown"


def test_findings_stand_worst_first_and_grouped() -> None:
    site = reviewed()
    for urgency in (Urgency.WATCH, Urgency.NOW, Urgency.TODAY, Urgency.NOW):
        overdue(site, urgency=urgency, opened_on=ON, last_seen_on=ON)

    found = sheet()

    assert [(g.title, g.total) for g in found.groups] == [
        ("Now", 2),
        ("Today", 1),
        ("Watch", 1),
    ]
    assert found.summary == "2 now, 1 today, 1 watch"


def test_a_card_reads_like_a_note_from_a_colleague(keeper: Client) -> None:
    site = reviewed()
    overdue(site, opened_on=ON, last_seen_on=ON)

    text = keeper.get("/?night=2026-03-01").content.decode()

    for said in (
        "V-0417 Juno (Nursery rack, N-12)",
        "Last weighed 28 days ago (118.4 g on 1 Feb 2026)",
        "Since Sun 1 Mar 2026, seen on 1 night",
        '<span class="new">new</span>',
        "Weigh it today, at the usual hour.",
        "Weight is the earliest warning there is",
        "common practice, no source",
        "Overdue after",
    ):
        assert said in text.replace("\u00a0", " ")


def test_what_was_there_the_night_before_is_not_new() -> None:
    overdue(reviewed(), opened_on=ON - timedelta(days=2), last_seen_on=ON)

    [card] = sheet().groups[2].cards

    assert not card.new


def test_a_night_that_could_not_say_is_not_silent_about_it() -> None:
    overdue(
        reviewed(),
        opened_on=ON - timedelta(days=2),
        last_seen_on=day(-1),
        nights_seen=2,
    )

    [card] = sheet().groups[2].cards

    assert card.undecided == (
        "The data of Sun 1 Mar 2026 do not say whether it is still so. These numbers "
        "are of Sat 28 Feb 2026."
    )


def test_an_earlier_morning_is_told_by_what_it_knew() -> None:
    site = reviewed()
    ReviewRunFactory.create(site=site, on=day(1))
    row = overdue(
        site,
        urgency=Urgency.TODAY,
        opened_on=day(-1),
        last_seen_on=day(1),
        nights_seen=3,
        evidence={**OVERDUE, "days": 30},
    )
    seen(row, day(-1), urgency="watch", evidence={**OVERDUE, "days": 28})
    seen(row, ON, urgency="watch", evidence={**OVERDUE, "days": 29})
    seen(row, day(1))

    [then] = sheet(ON).groups[2].cards
    [later] = sheet_of(at=MORNING, on=day(1), units=METRIC).groups[1].cards

    assert "Last weighed 29 days ago" in then.words.what
    assert then.since == "Since Sat 28 Feb 2026, seen on 2 nights"
    assert "Last weighed 30 days ago" in later.words.what


def test_a_night_long_past_shows_what_has_closed_since() -> None:
    site = reviewed()
    ReviewRunFactory.create(site=site, on=day(1))
    overdue(site, opened_on=ON, last_seen_on=ON, closed_on=day(1))

    now, before = sheet(), sheet(ON)

    assert [g.total for g in before.groups] == [0, 0, 1]
    assert now.found == 0
    assert [line.split(":")[0] for line in now.closed] == [
        "V-0417 Juno (Nursery rack, N-12)"
    ]


def test_a_withdrawn_finding_is_not_shown() -> None:
    overdue(reviewed(), opened_on=ON, last_seen_on=ON, closed_on=ON, withdrawn_on=ON)

    found = sheet()

    assert (found.found, found.closed) == (0, ())


def _quiet(row: Finding, until: date) -> None:
    by = UserFactory.create(first_name="Ana")
    acknowledge_finding(finding=row, by=by, at=NOW, note="known", quiet_until=until)


def test_a_quiet_finding_stands_below_until_its_day() -> None:
    site = reviewed()
    _quiet(overdue(site, opened_on=ON, last_seen_on=ON), date(2026, 3, 3))

    # The morning of 2 Mar is before 3 Mar, the morning of 3 Mar is not.
    assert len(sheet().quiet) == 1
    ReviewRunFactory.create(site=site, on=day(1))
    assert sheet().quiet == ()


def test_quiet_never_hides_what_is_urgent_now() -> None:
    row = overdue(reviewed(), urgency=Urgency.NOW, opened_on=ON, last_seen_on=ON)
    _quiet(row, date(2026, 4, 1))

    found = sheet()

    assert (found.quiet, found.groups[0].total) == ((), 1)


def test_an_acknowledged_finding_stands_below_the_others_of_its_kind() -> None:
    site = reviewed()
    known = overdue(site, opened_on=ON, last_seen_on=ON)
    other = overdue(site, opened_on=ON, last_seen_on=ON)
    by = UserFactory.create(first_name="Ana")
    acknowledge_finding(finding=known, by=by, at=NOW, note="Weighed by hand")

    cards = sheet().groups[2].cards

    assert [c.id for c in cards] == [other.pk, known.pk]
    [said] = cards[1].said
    assert (said.by, said.at) == ("Ana", "Mon 2 Mar 2026 at 12:00")


def test_too_many_findings_stand_as_lines_and_none_is_lost() -> None:
    site = reviewed()
    for _ in range(FULL_CARDS + 3):
        overdue(site, opened_on=ON, last_seen_on=ON)

    group = sheet().groups[2]

    assert (len(group.cards), len(group.lines)) == (FULL_CARDS, 3)


def test_a_finding_of_another_version_does_not_hide_the_others() -> None:
    site = reviewed()
    overdue(site, opened_on=ON, last_seen_on=ON, evidence={"weeks": 4})
    overdue(site, opened_on=ON, last_seen_on=ON)

    whats = [c.words.what for c in sheet().groups[2].cards]

    assert whats[0] == "Weighing overdue; its numbers cannot be read by this version."
    assert whats[1].startswith("Last weighed 28 days ago")


def test_several_sites_are_told_apart() -> None:
    first = reviewed()
    second = SiteFactory.create(name="Mill")
    ReviewRunFactory.create(site=second, on=day(-1), coverage=1.0)
    overdue(first, opened_on=ON, last_seen_on=ON)
    overdue(second, opened_on=day(-1), last_seen_on=day(-1))

    found = sheet()

    assert sorted(c.site for c in found.groups[2].cards) == ["Mill", "Ribeira House"]
    assert len(found.reviewed) == 2


def test_the_reader_gets_the_chosen_units() -> None:
    site = reviewed()
    row = overdue(site, opened_on=ON, last_seen_on=ON)
    Finding.objects.filter(pk=row.pk).update(kind="below_target", evidence=COLD)
    reader = UserFactory.create(temperature_unit="F", mass_unit="oz")

    text = client_of(reader).get("/?night=2026-03-01").content.decode()

    assert "82.4–87.8\u00a0°F" in text
    assert "°C" not in text


def test_names_cannot_carry_markup(keeper: Client) -> None:
    hostile = "<script>alert(1)</script>"
    overdue(
        reviewed(),
        opened_on=ON,
        last_seen_on=ON,
        evidence={**OVERDUE, "animal": hostile, "room": '"><img src=x>'},
    )

    text = keeper.get("/?night=2026-03-01").content.decode()

    assert "<script>" not in text
    assert "<img src=x>" not in text
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in text


def test_only_those_who_may_are_offered_to_acknowledge(visitor: Visitor) -> None:
    overdue(reviewed(), opened_on=ON, last_seen_on=ON)

    offered = {
        role: "I have seen it" in visitor(role).get("/").content.decode()
        for role in (Role.KEEPER, Role.VIEWER)
    }

    assert offered == {Role.KEEPER: True, Role.VIEWER: False}


@pytest.mark.parametrize("asked", ["yesterday", "2026-02-30", "<b>"])
def test_what_is_no_date_is_refused_with_an_example(keeper: Client, asked: str) -> None:
    answer = keeper.get("/", {"night": asked})

    assert answer.status_code == 400
    assert "Write it as 2027-03-12" in answer.content.decode()
    assert "<b>" not in answer.content.decode()


def test_a_night_in_the_future_is_not_over(keeper: Client) -> None:
    SiteFactory.create(name="Ribeira House")

    text = keeper.get("/?night=2199-01-01").content.decode()

    assert "Tue 1 Jan 2199 is not over yet" in text


def test_mornings_lead_to_the_one_before_and_after(keeper: Client) -> None:
    reviewed()

    text = keeper.get("/?night=2026-03-01").content.decode()

    assert 'href="?night=2026-02-28" rel="prev"' in text
    assert 'href="?night=2026-03-02" rel="next"' in text


def _queries(user: User, address: str) -> int:
    client = client_of(user)
    with CaptureQueriesContext(
        connection,
    ) as caught:
        assert client.get(address).status_code == 200
    return len(caught)


def test_the_number_of_queries_does_not_depend_on_findings(world: World) -> None:
    ReviewRunFactory.create(site=world.site, on=ON, coverage=1.0)
    reader = UserFactory.create()

    def add() -> None:
        stay = StayFactory.create(animal=AnimalFactory.create())
        row = overdue(
            world.site,
            animal=stay.animal,
            enclosure=stay.enclosure,
            opened_on=ON,
            last_seen_on=ON,
        )
        _quiet(row, date(2026, 3, 2))

    add()
    one = _queries(reader, "/")
    for _ in range(7):
        add()

    assert len(sheet().groups[2].cards) == 8
    assert _queries(reader, "/") == one == 12
    UnclaimedReadingsFactory.create_batch(8)
    assert _queries(reader, "/") == one


def test_readings_of_unknown_probes_stand_on_the_page(
    world: World, keeper: Client
) -> None:
    ReviewRunFactory.create(site=world.site, on=ON, coverage=1.0)
    assert sheet().waiting == ""
    UnclaimedReadingsFactory.create(
        code="XX-9", arrived_at=MORNING - timedelta(hours=1)
    )
    UnclaimedReadingsFactory.create(
        code="YY-1", readings=1, arrived_at=MORNING - timedelta(days=2)
    )
    UnclaimedReadingsFactory.create(
        code="ZZ-1", state="discarded", reason="On a bench.", settled_at=MORNING
    )
    local = MORNING.astimezone(ZoneInfo(world.site.time_zone))

    assert sheet().waiting == (
        f"Readings of 2 unknown probes wait: YY-1, 1 reading since "
        f"{clock(MORNING - timedelta(days=2), ZoneInfo(world.site.time_zone))}; "
        f"XX-9, 288 readings since {local - timedelta(hours=1):%H:%M}."
    )
    text = keeper.get("/").content.decode()
    assert "Readings of 2 unknown probes wait: YY-1" in text
    assert 'href="/admin/husbandry/unclaimedreadings/?state__exact=waiting"' in text
    # An earlier morning says what was known of its night, and no more.
    assert sheet(ON).waiting == ""


def test_with_sites_of_several_clocks_it_is_told_in_utc() -> None:
    SiteFactory.create(time_zone="Europe/Lisbon")
    SiteFactory.create(time_zone="Asia/Tokyo")
    for number in range(8):
        UnclaimedReadingsFactory.create(
            code=f"C-{number}", arrived_at=MORNING - timedelta(minutes=20 - number)
        )

    said = sheet().waiting

    first = MORNING - timedelta(minutes=20)
    assert said.startswith(
        f"Readings of 8 unknown probes wait: C-0, 288 readings since {first:%H:%M} UTC;"
    )
    assert said.endswith("; 2 more.")


def test_a_failed_lamp_stands_on_the_page_with_its_picture(
    world: World, keeper: Client
) -> None:
    record(world.ambient, ON, ambient)
    record(world.basking, ON, lambda day, step: (22.0 + wobble(step), None, 3.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    [row] = Finding.objects.all()

    text = keeper.get("/?night=2026-03-01").content.decode()

    assert f"/findings/{row.pk}/chart.svg?night=2026-03-01" in text
    assert "below the wanted 28.3–30.6\u00a0°C" in text
