"""Lamps: fitted, measured under, taken away."""

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from core.models import AuditEntry
from husbandry.actions.care_records import strike_out
from husbandry.actions.lamps import check_lamp, fit_lamp, remove_lamp
from husbandry.models import Enclosure, Lamp, LampCheck
from husbandry.rules.care_entries import CareEntryError
from husbandry.rules.lamps import LampError
from husbandry.rules.vocabulary import LampKind
from tests.factories import (
    NOW,
    TODAY,
    EnclosureFactory,
    LampCheckFactory,
    LampFactory,
    UserFactory,
)
from tests.husbandry.care_lists import judged, stale_days, verbs

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def fit(enclosure: Enclosure, **given: Any) -> Lamp:
    said: dict[str, Any] = {"kind": LampKind.UVB_TUBE, "label": "T5, 6 %"}
    said |= {"fitted_on": TODAY - 3 * DAY, "by": None, "at": NOW}
    return fit_lamp(enclosure=enclosure, **(said | given))


def check(lamp: Lamp, uv_index: str = "3.0", **given: Any) -> LampCheck:
    said: dict[str, Any] = {"distance_cm": None, "at": NOW - HOUR, "by": None}
    said |= {"recorded_at": NOW}
    return check_lamp(lamp=lamp, uv_index=Decimal(uv_index), **(said | given))


def test_a_lamp_is_fitted_once() -> None:
    enclosure, keeper = EnclosureFactory.create(), UserFactory.create()
    judged(enclosure.room.site, 1, 2, 3, 4)

    lamp = fit(enclosure, label=" T5, 6 % ", by=keeper)
    again = fit(enclosure)
    twin = fit(enclosure, label="T5, 6 %, left")

    assert again == lamp
    assert Lamp.objects.count() == 2
    assert (lamp.enclosure, lamp.kind, lamp.label) == (enclosure, "uvb_tube", "T5, 6 %")
    assert (lamp.fitted_on, lamp.removed_on) == (TODAY - 3 * DAY, None)
    assert twin.pk != lamp.pk
    assert stale_days(enclosure.room.site) == {1, 2, 3}
    entry = AuditEntry.objects.earliest("pk")
    assert (entry.verb, entry.by, entry.subject) == (
        "fit_lamp",
        keeper,
        "husbandry.lamp",
    )
    assert entry.after == {
        "enclosure": enclosure.pk,
        "kind": "uvb_tube",
        "label": "T5, 6 %",
        "fitted_on": "2026-02-27",
    }


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"fitted_on": TODAY + DAY}, "03 Mar 2026 has not come yet"),
        ({"fitted_on": TODAY}, "was retired on 02 Mar 2026"),
        ({"label": "x" * 81}, "81 characters; at most 80"),
    ],
)
def test_a_lamp_that_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    enclosure = EnclosureFactory.create(retired_on=TODAY)

    with pytest.raises(LampError, match=said):
        fit(enclosure, **given)

    assert not Lamp.objects.exists()
    assert not AuditEntry.objects.exists()


def test_a_lamp_is_removed_once() -> None:
    lamp, keeper = LampFactory.create(), UserFactory.create()
    judged(lamp.enclosure.room.site, 1, 2, 3)

    gone = remove_lamp(lamp=lamp, on=TODAY - 2 * DAY, by=keeper, at=NOW)

    assert gone.removed_on == TODAY - 2 * DAY
    assert stale_days(lamp.enclosure.room.site) == {1, 2}
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.by) == ("remove_lamp", keeper)
    assert (entry.before, entry.after) == (
        {"removed_on": None},
        {"removed_on": "2026-02-28"},
    )
    with pytest.raises(LampError, match="removed on 28 Feb 2026 already"):
        remove_lamp(lamp=lamp, on=TODAY, by=None, at=NOW)


@pytest.mark.parametrize(
    ("on", "said"),
    [
        (TODAY + DAY, "has not come yet"),
        (date(2025, 12, 31), "was fitted on 01 Jan 2026"),
        (TODAY - 2 * DAY, "was measured on 01 Mar 2026"),
    ],
)
def test_a_last_day_that_cannot_be_is_refused(on: date, said: str) -> None:
    lamp = LampFactory.create()
    LampCheckFactory.create(lamp=lamp, at=NOW - DAY)

    with pytest.raises(LampError, match=said):
        remove_lamp(lamp=lamp, on=on, by=None, at=NOW)

    lamp.refresh_from_db()
    assert lamp.removed_on is None


def test_a_struck_out_reading_keeps_no_lamp() -> None:
    reading = LampCheckFactory.create(at=NOW - DAY)
    strike_out(record=reading, reason="The other lamp.", by=None, at=NOW)

    gone = remove_lamp(lamp=reading.lamp, on=TODAY - 2 * DAY, by=None, at=NOW)

    assert gone.removed_on == TODAY - 2 * DAY


def test_a_reading_is_kept_as_the_meter_shows_it() -> None:
    lamp, keeper = LampFactory.create(), UserFactory.create()
    judged(lamp.enclosure.room.site, 0, 1, 2)

    reading = check(
        lamp,
        "3.456",
        distance_cm=Decimal("30.04"),
        at=NOW - DAY,
        by=keeper,
        note="On the upper branch.",
    )

    reading.refresh_from_db()
    assert (reading.lamp, reading.at) == (lamp, NOW - DAY)
    assert (reading.uv_index, reading.distance_cm) == (Decimal("3.46"), Decimal(30))
    assert (reading.recorded_by, reading.note) == (keeper, "On the upper branch.")
    assert stale_days(lamp.enclosure.room.site) == {0, 1}
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.after["uv_index"]) == ("check_lamp", "3.46")


def test_the_same_reading_again_is_known_and_another_is_refused() -> None:
    lamp = LampFactory.create()
    first = check(lamp)

    assert check(lamp, "3.001") == first
    with pytest.raises(LampError, match=r"a UV index of 3\.00 is on record"):
        check(lamp, "4")
    with pytest.raises(LampError, match="is on record"):
        check(lamp, note="In the corner.")
    strike_out(record=first, reason="Slip.", by=None, at=NOW)
    assert check(lamp, "4").uv_index == 4
    assert verbs() == ["check_lamp", "strike_out", "check_lamp"]


@pytest.mark.parametrize(
    ("uv_index", "given", "said"),
    [
        ("-0.1", {}, "is not believed: give 0 to 20"),
        ("20.01", {}, "is not believed"),
        ("NaN", {}, "is not believed"),
        ("3", {"distance_cm": Decimal(0)}, "A distance of 0 cm cannot be"),
        ("3", {"distance_cm": Decimal("500.1")}, "cannot be: give 0.1 to 500 cm"),
        ("3", {"at": NOW - 70 * DAY}, "was fitted on 01 Jan 2026"),
        ("3", {"at": NOW - HOUR}, "was removed on 01 Mar 2026"),
    ],
)
def test_a_reading_that_cannot_be_is_refused(
    uv_index: str, given: dict[str, Any], said: str
) -> None:
    lamp = LampFactory.create(removed_on=TODAY - DAY)

    with pytest.raises(LampError, match=said):
        check(lamp, uv_index, **given)

    assert not LampCheck.objects.exists()
    assert not AuditEntry.objects.exists()


def test_a_reading_is_not_to_come_and_its_note_has_a_length() -> None:
    lamp = LampFactory.create()

    with pytest.raises(CareEntryError, match="has not come yet"):
        check(lamp, at=NOW + HOUR)
    with pytest.raises(CareEntryError, match="301 characters"):
        check(lamp, note="x" * 301)

    assert check(lamp, "0", at=NOW, distance_cm=Decimal(500)).uv_index == 0
    assert check(lamp, "20", at=NOW - HOUR).uv_index == 20
