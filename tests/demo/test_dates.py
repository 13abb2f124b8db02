"""The demo can end on any finished day, also where clocks change; and refuses others."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from core.models import Organisation, Site
from demo.build import ForeignDataError, UntilError, build
from demo.faults import EXPECTED
from husbandry.models import Animal
from husbandry.queries.findings import nights_to_review
from tests.demo import fortnights
from tests.factories import AnimalFactory, OrganisationFactory

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    "until",
    # Source: IANA time zone database: Lisbon changes on 29 Mar and 25 Oct 2026. 2024
    # had a 29 February.
    [date(2024, 3, 3), date(2026, 4, 2), date(2026, 10, 31)],
)
def test_any_fortnight_finds_the_planted_faults_and_nothing_else(until: date, tmp_path):
    demo = fortnights.build_until(until, tmp_path)

    assert fortnights.found(demo) == set(EXPECTED)
    assert (
        nights_to_review(
            site=demo.site, until=until, at_most=fortnights.timedelta(days=400)
        )
        == []
    )


@pytest.mark.parametrize("factory", [OrganisationFactory, AnimalFactory])
def test_a_database_with_others_data_is_left_alone(factory, tmp_path):
    factory()
    before = fortnights.everything()

    with pytest.raises(ForeignDataError, match="empty one only"):
        fortnights.build_until(date(2026, 3, 14), tmp_path)

    assert fortnights.everything() == before
    assert not list(tmp_path.iterdir())


def test_a_day_that_is_not_over_is_refused_with_the_last_that_is(tmp_path):
    at = fortnights.morning_after(date(2026, 3, 14))

    with pytest.raises(UntilError, match="Give 14 Mar 2026 or an earlier day"):
        build(until=date(2026, 3, 15), folder=tmp_path, step=fortnights.unheard, at=at)

    assert not Site.objects.exists()


def test_the_command_builds_tells_and_refuses_another_end(tmp_path):
    out = StringIO()

    call_command("demo", until=date(2026, 3, 14), folder=tmp_path, stdout=out)

    assert "Reviewing 14 nights …" in out.getvalue()
    assert "Vescora, the morning after 14 Mar 2026: " in out.getvalue()
    assert Organisation.objects.get().name.startswith("Vescora House")
    animals = Animal.objects.count()
    with pytest.raises(CommandError, match="until 2026-03-14"):
        call_command("demo", until=date(2026, 3, 15), folder=tmp_path, stdout=out)
    assert Animal.objects.count() == animals


def test_the_command_refuses_a_day_to_come_in_a_sentence(tmp_path):
    with pytest.raises(CommandError, match="is not over yet in Vescora"):
        call_command("demo", until=date(2999, 1, 1), folder=tmp_path)


def test_a_folder_that_cannot_be_written_is_named_in_a_sentence(tmp_path):
    (tmp_path / "file").write_text("in the way")

    with pytest.raises(CommandError, match=r"file cannot be written: .*--folder"):
        call_command("demo", until=date(2026, 3, 14), folder=tmp_path / "file")

    assert not Site.objects.exists()


def test_an_interrupted_build_leaves_the_database_as_it_was(tmp_path):
    before = fortnights.everything()

    @contextmanager
    def interrupting(title: str) -> Iterator[None]:
        if title.startswith("Importing"):
            raise KeyboardInterrupt
        yield

    with pytest.raises(KeyboardInterrupt):
        build(
            until=date(2026, 3, 14),
            folder=tmp_path,
            step=interrupting,
            at=fortnights.morning_after(date(2026, 3, 14)),
        )

    assert fortnights.everything() == before
