"""Who can be paired, and on which days; what is only unwise is no refusal."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from clutches.rules.pairings.pairs import (
    PairingError,
    Partner,
    check_end,
    check_pair,
    check_pairing_reason,
    remarks_on_sexes,
)
from husbandry.rules.vocabulary import AnimalStatus, Sex

TODAY = date(2026, 3, 2)
DAY = timedelta(days=1)
JUNO = Partner(1, "V-0001 Juno", 1, Sex.FEMALE, AnimalStatus.IN_CARE, date(2025, 1, 1))
BAS = Partner(7, "V-0007 Bas", 1, Sex.MALE, AnimalStatus.IN_CARE, date(2025, 6, 1))


@pytest.mark.parametrize(
    ("dam", "sire", "field", "words"),
    [
        (JUNO, replace(JUNO, sex=Sex.UNKNOWN), "sire", "itself"),
        (JUNO, replace(BAS, species=2), "sire", "two species"),
        (replace(JUNO, sex=Sex.MALE), BAS, "dam", "on record as male"),
        (JUNO, replace(BAS, sex=Sex.FEMALE), "sire", "on record as female"),
        (replace(JUNO, status=AnimalStatus.DEAD), BAS, "dam", "not in care any more"),
        (JUNO, replace(BAS, status=AnimalStatus.PLACED), "sire", "not in care"),
        (JUNO, replace(BAS, status=AnimalStatus.ELSEWHERE), "sire", "never in care"),
        (JUNO, replace(BAS, arrived_on=TODAY + DAY), "planned_on", "arrived on"),
    ],
)
def test_a_pair_that_cannot_be_is_refused(
    dam: Partner, sire: Partner, field: str, words: str
) -> None:
    with pytest.raises(PairingError, match=words) as refusal:
        check_pair(dam, sire, planned_on=TODAY, today=TODAY)

    assert list(refusal.value.fields) == [field]


@pytest.mark.parametrize(
    ("dam", "sire", "planned_on"),
    [
        (JUNO, BAS, TODAY),
        (JUNO, BAS, BAS.arrived_on),
        (replace(JUNO, sex=Sex.UNKNOWN), replace(BAS, sex=Sex.UNKNOWN), TODAY),
    ],
)
def test_a_pair_that_can_be(dam: Partner, sire: Partner, planned_on: date) -> None:
    check_pair(dam, sire, planned_on=planned_on, today=TODAY)


def test_a_day_to_come_is_refused() -> None:
    with pytest.raises(PairingError, match="has not come yet"):
        check_pair(JUNO, BAS, planned_on=TODAY + DAY, today=TODAY)


def test_an_unknown_sex_is_remarked() -> None:
    assert remarks_on_sexes(JUNO, BAS) == ()
    unsure = replace(BAS, sex=Sex.UNKNOWN)
    assert remarks_on_sexes(JUNO, unsure) == (
        "The sex of V-0007 Bas is not known: it is paired as the sire. Look at it "
        "before they meet; two males fight at once.",
    )


def test_a_reason_has_its_length() -> None:
    check_pairing_reason("r" * 300)

    with pytest.raises(PairingError, match="301 characters"):
        check_pairing_reason("r" * 301)


@pytest.mark.parametrize(
    ("met_on", "on", "words"),
    [
        (None, TODAY + DAY, "has not come yet"),
        (None, TODAY - 6 * DAY, "was planned on 25 Feb 2026"),
        (TODAY - DAY, TODAY - 2 * DAY, "met on 01 Mar 2026"),
        (None, TODAY, None),
        (None, TODAY - 5 * DAY, None),
        (TODAY - DAY, TODAY - DAY, None),
    ],
)
def test_a_pairing_ends_after_they_met(
    met_on: date | None, on: date, words: str | None
) -> None:
    days = {"planned_on": TODAY - 5 * DAY, "last_met_on": met_on, "today": TODAY}
    if words is None:
        check_end("J × B", ended_on=None, on=on, **days)  # type: ignore[arg-type] # days
        return
    with pytest.raises(PairingError, match=words):
        check_end("J × B", ended_on=None, on=on, **days)  # type: ignore[arg-type] # days


def test_a_pairing_ends_once() -> None:
    with pytest.raises(PairingError, match="already"):
        check_end(
            "J × B",
            planned_on=TODAY,
            ended_on=TODAY,
            last_met_on=None,
            on=TODAY,
            today=TODAY,
        )
