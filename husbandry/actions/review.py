"""The nightly review: gather once, decide purely, write once."""

import logging
from datetime import date, datetime, timedelta
from time import perf_counter
from zoneinfo import ZoneInfo

import numpy as np
from django.db import IntegrityError, transaction

from core import audit
from core.errors import DomainError
from core.models import Site, User
from core.zones import last_finished_day
from husbandry.actions.conditions import write_conditions
from husbandry.actions.findings import write_sightings
from husbandry.actions.night_parts import Night, judge_parts
from husbandry.actions.staleness import wait_for_what_is_being_recorded
from husbandry.models import ReviewRun
from husbandry.queries.care import care_facts
from husbandry.queries.findings import nights_to_review
from husbandry.queries.nights import night_readings
from husbandry.queries.places import probe_ids_out_of_use
from husbandry.queries.review import local_day, night_facts
from husbandry.rules.conditions import summarise
from husbandry.rules.night.assessing import Assessment, assess_night
from husbandry.rules.night.care import LOOK_BACK
from husbandry.rules.night.parts import with_parts
from husbandry.rules.night.planning import plan_night
from husbandry.rules.vocabulary import ReviewState

logger = logging.getLogger(__name__)

CATCH_UP = timedelta(days=400)
# A run that has not ended after this long died with its process.
DEAD_AFTER = timedelta(hours=2)
# What a run says of its night; everything else on it is somebody else's to say.
FOUND = ("state", "animals", "probes", "readings", "coverage", "failures")


class NightNotOverError(DomainError):
    """A local day was to be reviewed before it ended."""

    code = "night_not_over"


class ReviewRunningError(DomainError):
    """The same night is being reviewed at this moment."""

    code = "review_running"


class NightsFailedError(DomainError):
    """Some nights could not be reviewed; the others were."""

    code = "nights_failed"


def review_night(*, site: Site, on: date, by: User | None, at: datetime) -> ReviewRun:
    """Compare every animal of a site with its targets for one finished local day.

    Safe to run again and for any past day: the same records give the same answer.
    Conditions and sightings of that night are written anew, findings are folded
    again from the nights, and what people acknowledged stays.

    Args:
        site: where.
        on: the local day; it must be over.
        by: who asked for it; None is the schedule.
        at: now.

    Returns:
        The finished run: done, or partial where an animal could not be reviewed.

    Raises:
        NightNotOverError: the local day has not ended yet.
        ReviewRunningError: the same night is being reviewed at this moment.
    """
    _check_over(site=site, on=on, at=at)
    run = _claim(site=site, on=on, by=by, at=at)
    began = perf_counter()
    try:
        _review(run, site)
    except BaseException:
        run.state = ReviewState.FAILED.value
        run.save(update_fields=["state"])
        raise
    finally:
        elapsed = timedelta(seconds=perf_counter() - began)
        run.finished_at = at + elapsed
        run.duration_ms = round(elapsed.total_seconds() * 1000)
        run.save(update_fields=["finished_at", "duration_ms"])
    return run


def _review(run: ReviewRun, site: Site) -> None:
    facts = night_facts(site=site, on=run.on)
    care = care_facts(site=site, from_on=run.on - LOOK_BACK, until_on=run.on)
    plan = plan_night(facts)
    readings = night_readings(
        probe_ids=plan.probe_ids, from_s=plan.read_from_s, until_s=facts.day.end_s
    )
    conditions = summarise(readings, plan.kernel)
    parts = list(judge_parts(Night(site, facts, plan.probe_ids, readings)))
    assessment = with_parts(
        assess_night(facts, plan, conditions, care),
        (part.assessment for part in parts),
        facts,
    )
    # A probe that was retired after an earlier review of this night measured nothing.
    others = np.array(probe_ids_out_of_use(site=site, on=run.on), dtype=np.int64)
    written_anew = np.concatenate([plan.probe_ids, others])
    for failure in assessment.failures:
        logger.error("animal %s could not be reviewed: %s", *failure)
    run.probes = len(plan.probe_ids)
    run.readings = int((readings.at >= facts.day.start_s).sum())
    with transaction.atomic():
        # Nights of one site are folded one after the other, each upon the last.
        Site.objects.select_for_update(no_key=True).get(pk=site.pk)
        write_conditions(conditions, on=run.on, probe_ids=written_anew)
        for part in parts:
            part.write()
        _finish(run, assessment)
        run.findings = write_sightings(
            assessment.seen, site=site, on=run.on, at=run.started_at
        )
        run.save(update_fields=["findings"])
        audit.record(
            run,
            verb="review_night",
            by=run.started_by,
            at=run.started_at,
            after=audit.values(run, "on", "state", "animals", "probes", "findings"),
        )


def _finish(run: ReviewRun, assessment: Assessment) -> None:
    """Mark the run finished first: folding counts this night among the reviewed."""
    failed = bool(assessment.failures)
    run.state = (ReviewState.PARTIAL if failed else ReviewState.DONE).value
    run.animals = assessment.animals
    run.coverage = assessment.coverage
    run.failures = [{"animal": a, "error": e} for a, e in assessment.failures]
    # Only what this run found: that it went stale meanwhile must not be overwritten.
    run.save(update_fields=FOUND)


def _check_over(*, site: Site, on: date, at: datetime) -> None:
    if local_day(site, on).end_s > at.timestamp():
        last = last_finished_day(at, zone=ZoneInfo(site.time_zone))
        raise NightNotOverError(
            f"{on} is not over yet at {site.name} ({site.time_zone}). The last "
            f"finished day there is {last}."
        )


def _claim(*, site: Site, on: date, by: User | None, at: datetime) -> ReviewRun:
    """Take the night for this process; only one at a time may have it."""
    running = ReviewRun.objects.filter(
        site=site, on=on, state=ReviewState.RUNNING.value
    )
    running.filter(started_at__lt=at - DEAD_AFTER).update(
        state=ReviewState.FAILED.value
    )
    try:
        with transaction.atomic():
            wait_for_what_is_being_recorded()
            return ReviewRun.objects.create(
                site=site,
                on=on,
                state=ReviewState.RUNNING.value,
                started_at=at,
                started_by=by,
            )
    except IntegrityError as error:
        raise ReviewRunningError(
            f"The night of {on} at {site.name} is being reviewed at this moment. "
            "Wait until it has finished, then look at its findings or run it again."
        ) from error


def review_day(*, on: date, by: User | None, at: datetime) -> list[ReviewRun]:
    """Review one local day at every site, again where it was reviewed before.

    Raises:
        NightNotOverError: the day has not ended at some site yet; none is reviewed.
        NightsFailedError: some sites failed; the others were reviewed.
    """
    sites = list(Site.objects.order_by("pk"))
    for site in sites:
        _check_over(site=site, on=on, at=at)
    return _review_all([(site, on) for site in sites], by=by, at=at)


def review_finished_nights(*, by: User | None, at: datetime) -> list[ReviewRun]:
    """Review every finished local day that has no review in force, oldest first.

    So a night that was missed is caught up, and a night whose readings came late
    is judged again.

    Args:
        by: who asked; None is the schedule.
        at: now.

    Returns:
        The runs, finished.

    Raises:
        NightsFailedError: some nights failed; the others were reviewed, and the
            failed ones are tried again next time.
    """
    nights = [
        (site, on)
        for site in Site.objects.order_by("pk")
        for on in nights_to_review(
            site=site,
            until=last_finished_day(at, zone=ZoneInfo(site.time_zone)),
            at_most=CATCH_UP,
        )
    ]
    return _review_all(nights, by=by, at=at)


def _review_all(
    nights: list[tuple[Site, date]], *, by: User | None, at: datetime
) -> list[ReviewRun]:
    runs, failed = [], []
    for site, on in nights:
        try:
            runs.append(review_night(site=site, on=on, by=by, at=at))
        except ReviewRunningError:
            logger.info("night %s at %s is being reviewed elsewhere", on, site)
        except Exception:
            # One bad night must not keep the others from being reviewed.
            logger.exception("night %s at %s could not be reviewed", on, site)
            failed.append(f"{on} at {site.name}")
    if failed:
        raise NightsFailedError(
            f"Not reviewed: {', '.join(failed)}. The log says why; {len(runs)} other "
            "nights were reviewed. Run it again once the cause is mended."
        )
    return runs
