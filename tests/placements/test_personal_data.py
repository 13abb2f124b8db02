"""Erasure: nothing personal remains in any table, and what was counted stays counted."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import Count

from core.models import AuditEntry
from placements.actions.homes import HomeError
from placements.actions.personal_data import (
    ErasureRefusedError,
    RetentionError,
    erase_home,
    erase_past_data,
    set_retention,
)
from placements.actions.private_addresses import give_address
from placements.models import (
    Application,
    ApplicationCheck,
    Arrival,
    FollowUp,
    Home,
    HomeEnclosure,
    HomeReading,
    HomeReport,
    PersonalDataPolicy,
    Placement,
)
from placements.queries.personal_data import (
    homes_to_erase,
    local_day,
    retention_in_force,
)
from placements.queries.private_addresses import home_of
from placements.rules.personal_data import SHIPPED, ErasureReason, Retention
from tests.factories import (
    NOW,
    TODAY,
    ApplicationCheckFactory,
    ApplicationFactory,
    ArrivalFactory,
    FollowUpFactory,
    HomeEnclosureFactory,
    HomeFactory,
    HomeReadingFactory,
    HomeReportFactory,
    KeptAnswerFactory,
    PersonalDataPolicyFactory,
    PlacementFactory,
    SiteFactory,
    UserFactory,
)

pytestmark = pytest.mark.django_db
NAME = "Zebulon"
ASKED = ErasureReason.ASKED_FOR
FOREVER = timedelta(days=100 * 365)


def planted(**changed: Any) -> Home:
    """A home whose name stands wherever somebody can have typed it."""
    home = HomeFactory.create(
        name=f"{NAME} Grey",
        contact=f"{NAME}, 2 Mill Lane",
        email=f"{NAME}@example.org",
        notes=f"{NAME} rang.",
        created_at=NOW,
        **changed,
    )
    application = ApplicationFactory.create(
        home=home,
        state="declined",
        answers={"kept_before": "none", "more": f"I am {NAME}."},
        told=f"Dear {NAME}, no.",
        decided_at=NOW,
    )
    ApplicationCheckFactory.create(application=application, note=f"{NAME} is fine.")
    ArrivalFactory.create(home=home, note=f"{NAME} brought it.")
    placement = PlacementFactory.create(
        home=home,
        application=application,
        state="came_back",
        handed_over_on=TODAY,
        ended_on=TODAY,
        ended_reason=f"{NAME} fell ill.",
    )
    enclosure = HomeEnclosureFactory.create(
        home=home, label=f"{NAME}'s", note=f"Built by {NAME}."
    )
    HomeReadingFactory.create(enclosure=enclosure, file_name=f"{NAME}.csv")
    HomeReportFactory.create(placement=placement, note=f"{NAME} says hello.")
    FollowUpFactory.create(
        placement=placement,
        kind="two_weeks",
        answers={"doing": "well", "told": f"Yours, {NAME}"},
        answered_at=NOW,
    )
    FollowUpFactory.create(
        placement=placement,
        kind="three_months",
        dropped_at=NOW,
        dropped_reason=f"{NAME} moved.",
    )
    return home


def texts() -> Iterator[tuple[str, str]]:
    """All that any table of the database holds, as text, by its table."""
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            for row in cursor.fetchall():
                for value in row:
                    text = value.hex() if isinstance(value, bytes) else str(value)
                    yield table, text


def tables_naming(name: str) -> set[str]:
    return {table for table, text in texts() if name.casefold() in text.casefold()}


def counted() -> list[Any]:
    """What figures are made of, and all of it that they can tell apart."""
    return [
        *Application.objects.order_by("pk").values(
            *("home", "species", "animal", "kind", "state", "received_at"),
            *("decided_at", "waiting_since", "question_set"),
        ),
        *ApplicationCheck.objects.order_by("pk").values("kind", "outcome"),
        *Arrival.objects.order_by("pk").values("home", "source", "arrived_at"),
        *Placement.objects.order_by("pk").values(
            *("home", "animal", "kind", "state", "planned_on", "handed_over_on"),
            *("ended_on", "due_back_on"),
        ),
        *HomeEnclosure.objects.order_by("pk").values("home", "kind", "width_cm"),
        *HomeReading.objects.order_by("pk").values("zone", "at", "value_milli"),
        *HomeReport.objects.order_by("pk").values("kind", "on", "mass_g", "eggs"),
        *FollowUp.objects.order_by("pk").values("kind", "due_on", "answered_at"),
        *Home.objects.order_by("kind").values("kind").annotate(n=Count("pk")),
    ]


def test_the_name_is_planted_in_every_table_of_homes() -> None:
    planted()

    assert tables_naming(NAME) == {
        "placements_home",
        "placements_application",
        "placements_applicationcheck",
        "placements_arrival",
        "placements_placement",
        "placements_homeenclosure",
        "placements_homereading",
        "placements_homereport",
        "placements_followup",
    }


def test_nothing_personal_remains_in_any_table() -> None:
    home = planted()
    before = counted()

    erase_home(home=home, reason=ASKED, by=UserFactory.create(), at=NOW + FOREVER)

    assert tables_naming(NAME) == set()
    assert counted() == before
    assert FollowUp.objects.get(kind="two_weeks").answers == {"doing": "well"}
    assert FollowUp.objects.get(kind="three_months").dropped_reason == "(erased)"


def test_other_homes_keep_theirs() -> None:
    home = planted()
    other = HomeFactory.create(name="The Browns")
    ApplicationFactory.create(home=other, answers={"more": "We are the Browns."})

    erase_home(home=home, reason=ASKED, by=None, at=NOW)

    assert tables_naming("Browns") == {"placements_home", "placements_application"}


def test_the_row_says_when_by_whom_and_why() -> None:
    home, person = planted(keep_until=date(2026, 1, 1)), UserFactory.create()

    row = erase_home(home=home, reason=ASKED, by=person, at=NOW)

    assert Home.objects.values().get() == {
        **Home.objects.values("id", "kind", "units", "paper", "language").get(),
        "name": "(erased)",
        "contact": "",
        "email": "",
        "notes": "",
        "keep_until": None,
        "erased_at": NOW,
        "erased_by_id": person.pk,
        "created_at": NOW,
    }
    assert row.name == "(erased)"
    entry = AuditEntry.objects.get(verb="erase_home")
    assert (entry.by, entry.after, entry.reason) == (person, {}, "asked_for")
    with pytest.raises(HomeError, match="were erased"):
        erase_home(home=home, reason=ASKED, by=person, at=NOW)


def test_private_addresses_open_nothing_any_more() -> None:
    home = planted()
    application, placement = Application.objects.get(), Placement.objects.get()
    _, first = give_address(application=application, by=None, at=NOW)
    _, second = give_address(placement=placement, by=None, at=NOW)

    erase_home(home=home, reason=ASKED, by=None, at=NOW)

    assert home_of(first, NOW) is home_of(second, NOW) is None
    assert not application.private_addresses.filter(revoked_at__isnull=True).exists()
    assert not placement.private_addresses.filter(revoked_at__isnull=True).exists()


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"application": "waiting"}, "An application of this home is open"),
        ({"placement": "planned"}, "is planned to go there"),
        ({"placement": "handed_over", "kind": "foster"}, "there as a foster"),
        ({"placement": "handed_over", "kind": "loan"}, "there as a loan"),
        ({"keep_until": TODAY}, "have to be kept until 2026-03-02"),
    ],
)
def test_what_stands_against_it_refuses_it(changed: dict[str, Any], told: str) -> None:
    home = HomeFactory.create(name=NAME, keep_until=changed.get("keep_until"))
    if state := changed.get("application"):
        ApplicationFactory.create(home=home, state=state, waiting_since=TODAY)
    if state := changed.get("placement"):
        PlacementFactory.create(
            home=home,
            state=state,
            kind=changed.get("kind", "adoption"),
            handed_over_on=TODAY if state == "handed_over" else None,
        )

    with pytest.raises(ErasureRefusedError, match=told):
        erase_home(home=home, reason=ASKED, by=None, at=NOW)

    home.refresh_from_db()
    assert (home.name, home.erased_at) == (NAME, None)


def test_the_night_erases_what_is_past_its_time_and_no_more(
    django_assert_max_num_queries: Callable[[int], Any],
) -> None:
    planted()
    planted()
    kept = HomeFactory.create(name="The Browns", created_at=NOW)
    ApplicationFactory.create(home=kept)
    unknown = HomeFactory.create(name="The Whites")
    # Sixty months after 2 March 2026 the 2nd of March 2031 is still kept.
    last = NOW.replace(year=2031)

    assert erase_past_data(at=last) == 0
    with django_assert_max_num_queries(24):
        assert erase_past_data(at=last + timedelta(days=1)) == 2
    assert erase_past_data(at=last + timedelta(days=1)) == 0

    assert tables_naming(NAME) == set()
    assert set(Home.objects.filter(erased_at__isnull=True)) == {kept, unknown}
    entries = AuditEntry.objects.filter(verb="erase_home")
    assert set(entries.values_list("by", "reason")) == {(None, "past_its_time")}
    assert entries.count() == 2


def test_the_night_costs_the_same_for_one_and_for_three(
    django_assert_num_queries: Callable[[int], Any],
) -> None:
    planted()
    with django_assert_num_queries(22):
        assert erase_past_data(at=NOW + FOREVER) == 1
    for _ in range(3):
        planted()
    with django_assert_num_queries(22):
        assert erase_past_data(at=NOW + FOREVER) == 3


def test_homes_to_erase(django_assert_num_queries: Callable[[int], Any]) -> None:
    PersonalDataPolicyFactory.create(months_after_decline=1)
    home = HomeFactory.create(created_at=NOW)

    with django_assert_num_queries(5):
        assert homes_to_erase(date(2026, 4, 2)) == ()
    assert homes_to_erase(date(2026, 4, 3)) == (home,)


def test_a_policy_counts_from_when_it_is_made() -> None:
    assert retention_in_force() == SHIPPED
    person = UserFactory.create()

    row = set_retention(
        months_after_decline=3,
        months_after_last_placement=120,
        reason=" Ten years, as the licence asks. ",
        by=person,
        at=NOW,
    )

    assert retention_in_force() == Retention(3, 120)
    assert (row.reason, row.made_by) == ("Ten years, as the licence asks.", person)
    entry = AuditEntry.objects.get()
    assert entry.after == {
        "months_after_decline": 3,
        "months_after_last_placement": 120,
    }


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"months_after_decline": -1}, "months_after_decline"),
        ({"months_after_last_placement": 601}, "months_after_last_placement"),
        ({"reason": "  "}, "reason"),
        ({"reason": "a\x00"}, "reason"),
    ],
)
def test_a_policy_that_cannot_be(changed: dict[str, Any], field: str) -> None:
    given: dict[str, Any] = {
        "months_after_decline": 0,
        "months_after_last_placement": 600,
        "reason": "as agreed",
        **changed,
    }

    with pytest.raises(RetentionError) as refused:
        set_retention(**given, by=None, at=NOW)

    assert list(refused.value.fields) == [field]
    assert not PersonalDataPolicy.objects.exists()


def test_the_day_is_the_organisations() -> None:
    late = NOW.replace(hour=23, minute=30)
    assert local_day(late) == TODAY

    SiteFactory.create(time_zone="Asia/Tokyo")

    assert local_day(late) == TODAY + timedelta(days=1)


def test_no_other_text_can_hold_what_a_home_typed() -> None:
    """Each text that hangs on a home is named here: erased, or not about people."""
    erased = {
        *("home.name", "home.contact", "home.email", "home.notes"),
        *("application.answers", "application.told", "applicationcheck.note"),
        *("homeenclosure.label", "homeenclosure.note", "homereading.file_name"),
        *("homereport.note", "followup.answers", "followup.dropped_reason"),
        *("arrival.note", "placement.ended_reason"),
    }
    words = {
        *("home.kind", "home.units", "home.paper", "home.language"),
        *("application.kind", "application.state"),
        *("applicationcheck.kind", "applicationcheck.outcome"),
        *("homeenclosure.kind", "homeenclosure.time_zone", "homeenclosure.uvb_lamp"),
        *("homereading.zone", "homereading.quantity"),
        *("homereport.kind", "followup.kind", "arrival.source"),
        *("placement.kind", "placement.state"),
    }
    # Of the animal or the law, and what stands in it is told beside its field.
    not_of_people = {
        *("arrival.found_at", "arrival.hold_reason", "arrival.came_with"),
        "placement.release_place",
    }
    names = {name.partition(".")[0] for name in erased}
    found = {
        f"{name}.{field.name}"
        for name in names
        for field in apps.get_app_config("placements").models[name]._meta.fields
        if field.get_internal_type() in {"CharField", "TextField", "JSONField"}
    }

    assert found == erased | words | not_of_people


def test_no_kept_answer_repeats_what_was_erased() -> None:
    home = HomeFactory.create(name=NAME)
    kept = KeptAnswerFactory.create(status=201, body=NAME.encode())

    erase_home(home=home, reason=ErasureReason.ASKED_FOR, by=None, at=NOW)

    kept.refresh_from_db()
    assert (bytes(kept.body), kept.withheld) == (b"", True)
