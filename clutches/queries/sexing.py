"""Looks at heels: whose sex they leave open, and whether a second one is asked for."""

from collections import defaultdict
from collections.abc import Collection
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, Q, QuerySet

from clutches.models import SexingPolicy, SpurCheck
from clutches.rules.facts import HeelsSeen, Unsettled
from clutches.rules.sexing.looks import Look
from clutches.rules.vocabulary import Heel
from core.models import AuditEntry, Site
from core.zones import day_bounds
from husbandry.models import Animal, Stay
from husbandry.queries.animals import in_care_on
from husbandry.rules.sexes import UNSEXED, Sexing
from husbandry.rules.vocabulary import AnimalStatus, Confidence, Sex, SexBasis

# What a sex by heels is told by in the audit trail.
VERB = "sex_by_heels"


def second_look_asked(*, on: date) -> bool:
    """Return whether a second person's look is asked for on a day; one query.

    The policy that began last counts; where none has begun it is asked for.
    """
    policy = (
        SexingPolicy.objects.filter(from_on__lte=on).order_by("-from_on", "-pk").first()
    )
    return True if policy is None else policy.second_look


def looks_at(*, animal_ids: Collection[int]) -> dict[int, list[Look]]:
    """Return the looks in force at each animal's heels, oldest first; one query."""
    found: dict[int, list[Look]] = defaultdict(list)
    rows = SpurCheck.objects.filter(animal__in=animal_ids, struck_at__isnull=True)
    for animal, left, right, looked_by, at in rows.order_by("at", "pk").values_list(
        "animal_id", "left", "right", "looked_by_id", "at"
    ):
        found[animal].append(Look(Heel(left), Heel(right), looked_by, at))
    return found


def sexes_before_looks(*, animal_ids: Collection[int]) -> dict[int, Sexing]:
    """Return what was on record of animals before any look told otherwise; one query.

    Animals of which no look has told are absent.
    """
    found: dict[int, Sexing] = {}
    rows = AuditEntry.objects.filter(
        verb=VERB,
        subject=Animal._meta.label_lower,  # noqa: SLF001 - Django's public Meta API
        subject_id__in=[str(pk) for pk in animal_ids],
    )
    for subject_id, before in rows.order_by("-at", "-pk").values_list(
        "subject_id", "before"
    ):
        found[int(subject_id)] = _sexing(before)
    return found


def _sexing(before: dict[str, str]) -> Sexing:
    if "sex" not in before:
        return UNSEXED
    return Sexing(
        Sex(before["sex"]),
        SexBasis(before["sex_basis"]),
        Confidence(before["sex_confidence"]),
    )


def unsettled_animals(*, site: Site, on: date) -> tuple[Unsettled, ...]:
    """Return animals at a site whose heels were looked at, with all looks until a day.

    Two queries. As of the end of the local day; those of which the looks settle the
    sex are among them, for the policy decides that. Animals whose sex is known by
    something else are left out.

    Args:
        site: where they stayed when the day ended.
        on: the local day.
    """
    _, end_s = day_bounds(on, zone=ZoneInfo(site.time_zone))
    ends_at = datetime.fromtimestamp(end_s, UTC)
    here = Stay.objects.filter(
        Q(until_at__isnull=True) | Q(until_at__gte=ends_at),
        animal=OuterRef("pk"),
        enclosure__room__site=site,
        from_at__lt=ends_at,
    )
    looks = SpurCheck.objects.filter(
        Q(struck_at__isnull=True) | Q(struck_at__gte=ends_at), at__lt=ends_at
    )
    animals = Animal.objects.filter(
        Exists(looks.filter(animal=OuterRef("pk"))),
        Exists(here),
        in_care_on(on),
        sex_basis__in=[SexBasis.HEEL_SPUR.value, SexBasis.NOT_SEXED.value],
    ).order_by("code")
    seen = _heels_seen(looks.filter(animal__in=animals.order_by().values("pk")))
    return tuple(
        Unsettled(
            id=animal.pk,
            label=str(animal),
            sex=Sex(animal.sex),
            enclosure=None,
            looks=tuple(seen[animal.pk]),
        )
        for animal in animals
    )


def _heels_seen(looks: QuerySet[SpurCheck]) -> dict[int, list[HeelsSeen]]:
    found: dict[int, list[HeelsSeen]] = defaultdict(list)
    for look in looks.select_related("looked_by").order_by("at", "pk"):
        found[look.animal_id].append(
            HeelsSeen(
                look.left,
                look.right,
                look.looked_by_id,
                look.at,
                str(look.looked_by) if look.looked_by else "",
            )
        )
    return found


def awaiting_look(*, reader: int, at: datetime) -> list[Animal]:
    """Return animals in care of which a look of this person is wanted; one query.

    They have never been looked at and are not sexed, or wait for somebody else's
    look than that of whoever looked first.

    Args:
        reader: key of the person who would look.
        at: now; nothing after it counts.
    """
    looks = SpurCheck.objects.filter(
        animal=OuterRef("pk"), struck_at__isnull=True, at__lte=at
    )
    waiting = Q(sex_basis=SexBasis.NOT_SEXED.value) | (
        Q(sex_basis=SexBasis.HEEL_SPUR.value)
        & ~Q(sex_confidence=Confidence.CONFIRMED.value)
    )
    rows = Animal.objects.filter(
        waiting, ~Exists(looks.filter(looked_by=reader)), status=AnimalStatus.IN_CARE
    )
    return list(rows.select_related("species").order_by("code"))
