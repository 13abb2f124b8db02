"""How the files of one source are read is kept, and used for the next one."""

import pytest

from core.models import AuditEntry
from husbandry.actions.imports import (
    save_logger_mapping,
)
from husbandry.models import LoggerMapping
from husbandry.queries.logger_files import (
    UnknownSourceError,
    look_at_file,
    saved_mapping,
)
from husbandry.rules.import_answers import (
    NO_ANSWERS,
    Answers,
)
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import DayOrder, Unit
from tests.factories import UserFactory
from tests.husbandry.logger_files import (
    NOW,
    PLAIN,
    UNCLEAR,
    probe_at,
    take,
)

pytestmark = pytest.mark.django_db


def test_a_saved_mapping_reads_the_next_file_without_questions() -> None:
    probe, keeper = probe_at("Europe/Lisbon"), UserFactory()
    answers = Answers(day_order=DayOrder.MDY, units=(Unit.F,))
    first = take(UNCLEAR, probe, answers=answers, save_as="attic", by=keeper)

    second = take(UNCLEAR.replace(b"70.5", b"69.5"), None, source_name="attic")

    assert "The mapping is saved for the source 'attic'." in first.lines()
    assert (second.known, second.conflicting) == (1, 1)
    saved = LoggerMapping.objects.get()
    assert (saved.name, saved.saved_by, saved.saved_at) == ("attic", keeper, NOW)
    assert saved_mapping(name="attic").probes == (("", probe.code),)


def test_a_mapping_that_is_saved_again_replaces_the_first() -> None:
    probe = probe_at()
    take(PLAIN, probe, save_as="attic")
    first = saved_mapping(name="attic")

    newer = first.with_zone("+01:00")
    save_logger_mapping(name="attic", mapping=newer, by=None, at=NOW)

    assert saved_mapping(name="attic") == newer
    entry = AuditEntry.objects.filter(verb="save_logger_mapping").latest("pk")
    assert entry.before["document"]["zone"] == "site"
    assert entry.after["document"]["zone"] == "+01:00"


def test_a_given_mapping_is_used_as_it_is() -> None:
    probe = probe_at()
    take(PLAIN, probe, save_as="attic")
    mapping = saved_mapping(name="attic").with_zone("+01:00")

    report = take(PLAIN, probe, mapping=mapping)

    assert report.first_at == "2026-03-01T09:00:00Z"


def test_a_source_without_mapping_is_answered_with_near_ones() -> None:
    with pytest.raises(UnknownSourceError, match="There are no sources yet"):
        take(PLAIN, None, source_name="attic")
    take(PLAIN, probe_at(), save_as="attic")
    with pytest.raises(UnknownSourceError, match="Did you mean attic"):
        take(PLAIN, None, source_name="attik")


def test_a_mapping_with_parts_to_decide_is_not_kept() -> None:
    looked = look_at_file(
        data=UNCLEAR,
        file_name="tub.csv",
        probe_for={},
        answers=NO_ANSWERS,
        mapping=None,
        source_name=None,
    )

    with pytest.raises(UntrustedFileError, match="day_order, unit"):
        save_logger_mapping(name="tub", mapping=looked.mapping, by=None, at=NOW)

    assert not LoggerMapping.objects.exists()
