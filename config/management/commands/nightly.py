"""Do by hand what the schedule does by itself."""

from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils.module_loading import import_string
from django.utils.timezone import now

from config.schedule import SCHEDULE, Row
from core.errors import DomainError
from core.models import Site
from husbandry.actions.review import review_day, review_finished_nights
from husbandry.models import ReviewRun

REVIEW = "husbandry.tasks.nightly_review"


class Command(BaseCommand):
    help = (
        "Review every finished local day that has no review yet and do whatever else "
        "is scheduled; or review one day again: `nightly 2026-03-01`. Safe to run twice."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "date", nargs="?", type=date.fromisoformat, help="a local day, YYYY-MM-DD"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        on = options["date"]
        try:
            runs = self._review(on)
        except DomainError as error:
            raise CommandError(error.sentence) from error
        for run in runs:
            self.stdout.write(line(run))
        if not runs:
            self.stdout.write(_nothing())
        if on is None:
            self._do_the_rest()

    def _do_the_rest(self) -> None:
        """Do the other rows of the schedule; one that fails keeps no other from it."""
        failed = []
        for row in SCHEDULE:
            if row.task != REVIEW:
                try:
                    self._do(row)
                except Exception as error:  # noqa: BLE001 - the others are still done
                    failed.append(f"{row.name}: {error!r}")
        if failed:
            raise CommandError(f"Not done: {'; '.join(failed)}.")

    def _do(self, row: Row) -> None:
        done: int = import_string(row.task)()
        if done:
            self.stdout.write(f"{row.name}: {done}")

    def _review(self, on: date | None) -> list[ReviewRun]:
        if on is None:
            return review_finished_nights(by=None, at=now())
        return review_day(on=on, by=None, at=now())


def _nothing() -> str:
    if Site.objects.exists():
        return "Every finished night is reviewed."
    return "There is no site yet, so there is no night to review. Add one first."


def line(run: ReviewRun) -> str:
    """Return one run as a line: where, when, how complete, how much was found."""
    covered = "no probes" if run.coverage is None else f"{run.coverage:.0%} covered"
    return (
        f"{run.site.name}, night of {run.on:%d %b %Y}: {run.state}, "
        f"{_count(run.animals, 'animal')}, {_count(run.probes, 'probe')} ({covered}), "
        f"{_count(run.findings, 'finding')}, {run.duration_ms} ms"
    )


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
