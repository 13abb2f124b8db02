"""What is needed to hatch a box: which eggs lie where, and where young can go."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Count, Q

from clutches.models import Egg, EggBox, EggPlace
from clutches.rules.boxes.places import Place
from core.models import Site
from husbandry.models import Enclosure
from husbandry.rules.vocabulary import EnclosureKind


@dataclass(frozen=True, slots=True)
class LyingEgg:
    """An egg, and its place such as `B2`; "" where it does not lie in the box."""

    egg: Egg
    place: str


@dataclass(frozen=True, slots=True)
class Home:
    """An enclosure into which young can be put, and how many animals live there."""

    id: int
    code: str
    room: str
    animals: int


def lying_eggs(*, box: EggBox) -> list[LyingEgg]:
    """Return the eggs that lie in a box, in the order of places; one query."""
    rows = EggPlace.objects.filter(box=box, until_at__isnull=True)
    ordered = rows.select_related("egg__clutch__site", "egg__clutch__species")
    return [
        LyingEgg(row.egg, Place(row.row, row.column).label)
        for row in ordered.order_by("row", "column")
    ]


def named_eggs(*, box: EggBox, keys: Collection[int]) -> list[LyingEgg]:
    """Return eggs by their keys, those first that lie in a box; two queries.

    Args:
        box: whose places are told.
        keys: of eggs; unknown ones are passed over.
    """
    here = [one for one in lying_eggs(box=box) if one.egg.pk in keys]
    left = set(keys) - {one.egg.pk for one in here}
    rows = Egg.objects.filter(pk__in=left).order_by("pk")
    gone = rows.select_related("clutch__site", "clutch__species")
    return [*here, *(LyingEgg(egg, "") for egg in gone)]


def homes(*, site: Site) -> list[Home]:
    """Return the enclosures of a site into which young can be put; one query.

    Those that are retired, and incubators, are left out. Whether so many may live
    together is for the action to say.
    """
    living = Count("stays", filter=Q(stays__until_at__isnull=True))
    rows = (
        Enclosure.objects.filter(room__site=site, retired_on__isnull=True)
        .exclude(kind=EnclosureKind.INCUBATOR.value)
        .annotate(living=living)
        .order_by("room__name", "position", "code")
    )
    return [
        Home(pk, code, room, living)
        for pk, code, room, living in rows.values_list(
            "pk", "code", "room__name", "living"
        )
    ]
