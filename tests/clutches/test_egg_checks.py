"""Eggs are candled and weighed in lists; known again, corrected, remarked on."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from clutches.actions.egg_checks import (
    EggCheckRow,
    record_egg_checks,
    strike_egg_checks,
)
from clutches.models import Egg, EggCheck
from clutches.rules.vocabulary import Candled
from core.models import AuditEntry
from husbandry.actions.care_records import CareResult, strike_out
from husbandry.rules.care_entries import CareEntryError
from tests.clutches.nest import DAY, HOUR, LAID, Nest, make_nest
from tests.factories import NOW, TODAY, EggCheckFactory, EggFactory, UserFactory
from tests.husbandry.care_lists import (
    KNOWN,
    REFUSED,
    STORED,
    judged,
    queries_of,
    stale_days,
    verbs,
)

pytestmark = pytest.mark.django_db
AT = NOW - HOUR


@pytest.fixture
def nest() -> Nest:
    return make_nest()


def row(number: int = 1, **given: Any) -> EggCheckRow:
    said = {"egg": ("C-mill", number), "at": AT, "seen": Candled.VESSELS}
    return EggCheckRow(**(said | given))


def candle(*rows: EggCheckRow, by: Any = None) -> tuple[CareResult, ...]:
    return record_egg_checks(rows=rows, by=by, recorded_at=NOW)


def test_a_box_is_candled_in_one_list(nest: Nest) -> None:
    keeper = UserFactory.create()
    judged(nest.site, 0, 1)

    results = candle(
        row(1, mass_g=Decimal("1.4504"), note="Pink."),
        row(2, seen=None, mass_g=Decimal("1.5")),
        by=keeper,
    )

    first, second = (EggCheck.objects.get(pk=r.record) for r in results)
    assert (first.egg, first.at, first.seen) == (nest.eggs[0], AT, "vessels")
    assert (first.mass_g, first.note) == (Decimal("1.450"), "Pink.")
    assert (first.recorded_by, first.recorded_at) == (keeper, NOW)
    assert (second.seen, second.mass_g) == ("", Decimal("1.500"))
    assert verbs() == ["record_egg_check"] * 2
    assert stale_days(nest.site) == {0}


def test_no_vessels_while_the_egg_rests_are_kept_with_a_remark(nest: Nest) -> None:
    (early,) = candle(row(seen=Candled.NO_VESSELS))

    # Day 60 after laying; Andrews & Donoghue 2004: embryos rest for 50 to 80 days.
    assert early.outcome is STORED
    assert early.remarks == (
        "Egg 1 of C-mill (A1 of BX-mill): no vessels on day 60: resting, not "
        "infertile. From day 90 on it tells.",
    )
    (late,) = record_egg_checks(
        rows=[row(seen=Candled.NO_VESSELS, at=NOW + 30 * DAY)],
        by=None,
        recorded_at=NOW + 30 * DAY,
    )
    assert (late.outcome, late.remarks) == (STORED, ())


def test_good_lines_beside_bad_ones_are_kept(nest: Nest) -> None:
    Egg.objects.filter(number=3).update(state="hatched", ended_on=TODAY - 2 * DAY)
    results = candle(
        row(1),
        row(1),
        row(1, seen=Candled.DARK),
        row(9),
        row(1, egg=("C-9", 1)),
        row(2, at=NOW + HOUR),
        row(2, at=NOW - 61 * DAY),
        row(3),
        row(3, at=NOW - 2 * DAY),
        row(2, seen=None),
        row(2, mass_g=Decimal(501)),
        row(2, note="x" * 301),
    )

    assert [r.outcome for r in results] == [
        *(STORED, KNOWN, REFUSED, REFUSED, REFUSED, REFUSED),
        *(REFUSED, REFUSED, STORED, REFUSED, REFUSED, REFUSED),
    ]
    said = [r.sentence for r in results]
    assert "there is another egg check on record" in said[2]
    assert "There is no egg 9 of a clutch 'C-mill'" in said[3]
    assert "There is no egg 1 of a clutch 'C-9'" in said[4]
    assert "has not come yet" in said[5]
    assert "was laid on 01 Jan 2026; nobody can have looked at it on 31 Dec" in said[6]
    assert "Egg 3 of C-mill (C1 of BX-mill) ended on 28 Feb 2026" in said[7]
    assert "Nothing is said of egg 2 of C-mill (B1 of BX-mill)" in said[9]
    assert "A mass of 501 g for egg 2 of C-mill" in said[10]
    assert EggCheck.objects.count() == 2


def test_a_check_is_corrected_and_struck_out(nest: Nest) -> None:
    (first,) = candle(row(at=NOW - 2 * DAY))
    judged(nest.site, 1, 2, 3)

    (second,) = candle(
        row(
            at=NOW - 2 * DAY,
            seen=Candled.DARK,
            note="Read wrongly.",
            corrects=first.record,
        )
    )

    wrong = EggCheck.objects.get(pk=first.record)
    assert (wrong.struck_at, wrong.struck_reason) == (NOW, "Read wrongly.")
    assert stale_days(nest.site) == {1, 2}
    right = EggCheck.objects.get(pk=second.record)
    strike_out(record=right, reason="Another egg.", by=None, at=NOW)
    assert not EggCheck.objects.filter(struck_at__isnull=True).exists()
    # Sent in again, it stays struck out.
    (again,) = candle(row(at=NOW - 2 * DAY))
    assert (again.outcome, again.record) == (KNOWN, first.record)
    assert "was struck out: Read wrongly." in again.remarks[0]


def test_many_are_struck_out_at_once(nest: Nest) -> None:
    candle(row(1), row(2), row(3))
    AuditEntry.objects.all()
    checks = list(EggCheck.objects.order_by("pk"))
    strike_out(record=checks[0], reason="This one.", by=None, at=NOW)
    keeper = UserFactory.create()
    judged(nest.site, 0)

    struck = strike_egg_checks(checks=checks, reason=" Undone. ", by=keeper, at=NOW)

    assert struck == 2
    rows = EggCheck.objects.order_by("pk").values_list("struck_reason", "struck_by")
    assert list(rows) == [
        ("This one.", None),
        ("Undone.", keeper.pk),
        ("Undone.", keeper.pk),
    ]
    assert stale_days(nest.site) == {0}
    entries = list(AuditEntry.objects.order_by("-pk")[:2])
    assert {(e.verb, e.reason) for e in entries} == {("strike_out", "Undone.")}
    with pytest.raises(CareEntryError, match="were struck out already"):
        strike_egg_checks(checks=checks, reason="Undone.", by=None, at=NOW)
    with pytest.raises(CareEntryError, match="Say what was wrong"):
        strike_egg_checks(checks=checks, reason=" ", by=None, at=NOW)


def test_ninety_eggs_take_as_many_queries_as_one(nest: Nest) -> None:
    many = make_nest(eggs=90, site="moor", rows=10, columns=9)

    one = queries_of(lambda: candle(row()))
    ninety = queries_of(
        lambda: candle(*(row(egg=("C-moor", e.number)) for e in many.eggs))
    )

    assert ninety == one
    checks = list(EggCheck.objects.filter(egg__clutch=many.clutch))
    assert len(checks) == 90
    struck = queries_of(
        lambda: strike_egg_checks(checks=checks, reason="Undone.", by=None, at=NOW)
    )
    others = list(EggCheck.objects.filter(egg__clutch=nest.clutch))
    assert struck == queries_of(
        lambda: strike_egg_checks(checks=others, reason="Undone.", by=None, at=NOW)
    )


def test_nothing_sent_is_nothing_answered() -> None:
    assert candle() == ()


def test_the_clock_of_the_site_says_which_day_it_is(nest: Nest) -> None:
    # In Auckland, 12 h ahead and more, the evening before laying in UTC is its day.
    nest.site.time_zone = "Pacific/Auckland"
    nest.site.save()
    before = NOW.replace(hour=20) - timedelta(days=(TODAY - LAID).days + 1)

    (result,) = candle(row(at=before))

    assert result.outcome is STORED


@pytest.mark.parametrize(
    "wrong", [{"seen": "", "mass_g": None}, {"mass_g": Decimal(0)}]
)
def test_the_database_keeps_no_impossible_check(wrong: dict[str, Any]) -> None:
    egg = EggFactory.create()

    with pytest.raises(IntegrityError), transaction.atomic():
        EggCheckFactory.create(egg=egg, **wrong)
