"""How the installation is: in a word for everybody, in parts for its people."""

import logging
from datetime import date, datetime
from http import HTTPStatus
from typing import Annotated, Literal

from django.conf import settings
from django.db import DatabaseError
from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.permissions import EVERYBODY
from api.structs import Instant, Out, Ref
from api.views import Door
from core.health import ask_database
from core.models import User
from core.roles import Permission
from husbandry.queries.review_health import (
    SiteNights,
    last_unasked_review,
    nights_of_sites,
)
from placements.queries.packet_jobs import MOST_COUNTED, WaitingJobs, waiting_jobs
from placements.rules.packet_jobs import dead_since

logger = logging.getLogger(__name__)
STATUS = Annotated[
    Literal["ok", "ailing"],
    Meta(
        description="ailing, with 503: the database does not answer, a night should "
        "have been reviewed by now, or packets wait and nobody draws them."
    ),
]


class HealthOut(Out, frozen=True, forbid_unknown_fields=True):
    """How the installation is."""

    status: STATUS


class SiteNightsOut(Out, frozen=True):
    """How the nights of one site stand."""

    site: Ref
    reviewed_on: Annotated[
        date | None, Meta(description="Its newest reviewed local day.")
    ]
    overdue_on: Annotated[
        date | None,
        Meta(
            description="The first of the last 14 local days that ended more than two "
            "hours ago and has no review; null: none."
        ),
    ]


class PacketQueueOut(Out, frozen=True):
    """Packets that wait for a worker."""

    waiting: Annotated[int, Meta(description=f"Counted up to {MOST_COUNTED:,}.")]
    since_at: Instant | None


class HealthParts(HealthOut, frozen=True):
    """How the installation is, part by part."""

    version: str
    database: Annotated[bool, Meta(description="It answers.")]
    nights: tuple[SiteNightsOut, ...]
    packet_jobs: PacketQueueOut
    worker_seen_at: Annotated[
        Instant | None,
        Meta(
            description="When a night was last reviewed that no person had asked for; "
            "null: never yet."
        ),
    ]


class Health(Door):
    """How the installation is."""

    permissions = {"retrieve": EVERYBODY}
    gives = {
        "retrieve": {
            HTTPStatus.OK: (HealthOut, HealthParts),
            HTTPStatus.SERVICE_UNAVAILABLE: (HealthOut, HealthParts),
        }
    }

    def retrieve(self, request: Request) -> Response:
        """Say how the installation is; 503 where it is ailing.

        Nobody has to sign in for the word. Those who do, and may see findings, get
        the parts too.
        """
        now = timezone.now()
        ask_database()
        nights, jobs = nights_of_sites(at=now), waiting_jobs()
        word = _word(nights, jobs, now)
        user = request.user
        if isinstance(user, User) and user.may(Permission.SEE_FINDINGS):
            return _answer(
                HealthParts(
                    status=word,
                    version=settings.VERSION,
                    database=True,
                    nights=tuple(map(_site, nights)),
                    packet_jobs=PacketQueueOut(
                        waiting=jobs.number, since_at=jobs.since_at
                    ),
                    worker_seen_at=last_unasked_review(),
                )
            )
        return _answer(HealthOut(status=word))

    def handle_exception(self, exc: Exception) -> Response:
        """Answer for a database that does not, also where it cannot say who asks."""
        if isinstance(exc, DatabaseError):
            logger.error("the database does not answer: %s", exc)
            return _answer(HealthOut(status="ailing"))
        return super().handle_exception(exc)


def _word(
    nights: tuple[SiteNights, ...], jobs: WaitingJobs, at: datetime
) -> Literal["ok", "ailing"]:
    late = any(one.overdue_on is not None for one in nights)
    stuck = jobs.since_at is not None and jobs.since_at <= dead_since(at)
    return "ailing" if late or stuck else "ok"


def _site(one: SiteNights) -> SiteNightsOut:
    return SiteNightsOut(
        site=Ref(id=one.site_id, code=one.site_code),
        reviewed_on=one.reviewed_on,
        overdue_on=one.overdue_on,
    )


def _answer(told: HealthOut) -> Response:
    well = told.status == "ok"
    status = HTTPStatus.OK if well else HTTPStatus.SERVICE_UNAVAILABLE
    return Response(told, status=status, headers={"Cache-Control": "no-store"})
