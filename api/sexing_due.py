"""Sexing due: whose heels wait for a look, and what looks leave open."""

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import Annotated, Literal

from django.utils import timezone
from msgspec import Meta
from rest_framework.request import Request
from rest_framework.response import Response

from api.structs import Instant, Out, Ref
from api.views import Door
from clutches.actions.sexing import REMARKS
from clutches.models import SpurCheck
from clutches.queries.open_looks import OpenLooks, open_looks
from clutches.queries.sexing import awaiting_look, looks_at
from clutches.rules.sexing.looks import Look, Why
from clutches.rules.vocabulary import Heel
from core.models import User
from core.roles import Permission, holds
from husbandry.models import Animal
from husbandry.queries.profiles import ProfileVersion, profiles_in_force
from husbandry.rules.profiles.vocabulary import SexMark

Wanted = Literal["first_look", "second_look", "another_look"]


class AwaitingLookOut(Out, frozen=True):
    """An animal of whose heels a look of yours is wanted."""

    animal: Ref
    species: Annotated[str, Meta(description="Code of the species.")]
    wanted: Annotated[
        Wanted,
        Meta(
            description="first_look: nobody has looked; second_look: one other has; "
            "another_look: others have, and the sex is open still."
        ),
    ]


class HeelsSeenOut(Out, frozen=True):
    """One look in force; its heels are null until you have looked yourself."""

    id: Annotated[int, Meta(description="Number of the spur check.")]
    at: Instant
    looked_by: Annotated[
        str | None, Meta(description="Who looked; null: nobody knows who.")
    ]
    left: Heel | None
    right: Heel | None


class OpenLooksOut(Out, frozen=True):
    """An animal whose looks do not settle its sex yet."""

    animal: Ref
    species: Annotated[str, Meta(description="Code of the species.")]
    why: Annotated[
        Why | None, Meta(description="What is open; null until you have looked.")
    ]
    remark: Annotated[
        str | None, Meta(description="The same in words, and what settles it.")
    ]
    you_looked: Annotated[
        bool, Meta(description="Of each person the newest look counts.")
    ]
    looks: Annotated[tuple[HeelsSeenOut, ...], Meta(description="The oldest first.")]


class MarklessOut(Out, frozen=True):
    """Animals that are not sexed and whose heels tell nothing."""

    species: Annotated[str, Meta(description="Code of the species.")]
    animals: Annotated[int, Meta(description="How many.")]
    why: Annotated[
        Literal["no_profile", "not_said", "no_mark"],
        Meta(
            description="The species has no care profile, its profile says nothing of "
            "heels, or that it has no such mark."
        ),
    ]


class SexingDueOut(Out, frozen=True):
    """Whose heels are to be looked at, and what is open."""

    awaiting: Annotated[
        tuple[AwaitingLookOut, ...],
        Meta(description="By code; those that you have not looked at yet."),
    ]
    open: Annotated[tuple[OpenLooksOut, ...], Meta(description="By code.")]
    markless: Annotated[tuple[MarklessOut, ...], Meta(description="By species.")]


class SexingDue(Door):
    """Whose heels wait for a look."""

    permissions = {"retrieve": Permission.SEE_ANIMALS}
    gives = {"retrieve": SexingDueOut}

    def retrieve(self, request: Request) -> Response:
        """Show which animals wait for a look of yours, and which looks leave a sex open.

        What others saw is left out until you have looked, so that both looks stand
        alone; whoever records no looks is shown it. Looks go to `spur-checks/`.
        """
        now, reader = timezone.now(), self.person
        waiting = awaiting_look(reader=reader.pk, at=now)
        profiles = profiles_in_force(
            species_ids={animal.species_id for animal in waiting}, on=now.date()
        )
        by_heels = [one for one in waiting if _mark(one, profiles) is None]
        looks = looks_at(animal_ids=[one.pk for one in by_heels])
        # By the role, not by what a token lets through: it is about eyes.
        blind = holds(reader.role, Permission.RECORD_BREEDING)
        return Response(
            SexingDueOut(
                awaiting=tuple(
                    _awaiting(one, looks.get(one.pk, ())) for one in by_heels
                ),
                open=tuple(
                    _open(one, reader, blind=blind) for one in open_looks(at=now)
                ),
                markless=_markless(waiting, profiles),
            )
        )


def _mark(
    animal: Animal, profiles: Mapping[int, ProfileVersion]
) -> Literal["no_profile", "not_said", "no_mark"] | None:
    """Return why heels tell nothing of an animal; None: they do."""
    known = profiles.get(animal.species_id)
    if known is None:
        return "no_profile"
    if known.profile.sexing is None:
        return "not_said"
    return None if known.profile.sexing.mark is SexMark.HEEL_SPUR else "no_mark"


def _awaiting(animal: Animal, looks: Collection[Look]) -> AwaitingLookOut:
    wanted: Wanted = "first_look"
    if looks:
        people = {look.looked_by for look in looks}
        wanted = "second_look" if len(people) == 1 else "another_look"
    return AwaitingLookOut(
        animal=Ref(id=animal.pk, code=animal.code),
        species=animal.species.code,
        wanted=wanted,
    )


def _open(one: OpenLooks, reader: User, *, blind: bool) -> OpenLooksOut:
    looked = any(look.looked_by_id == reader.pk for look in one.looks)
    shown = looked or not blind
    return OpenLooksOut(
        animal=Ref(id=one.animal.pk, code=one.animal.code),
        species=one.animal.species.code,
        why=one.why if shown else None,
        remark=REMARKS[one.why] if shown else None,
        you_looked=looked,
        looks=tuple(_seen(look, shown=shown) for look in one.looks),
    )


def _seen(look: SpurCheck, *, shown: bool) -> HeelsSeenOut:
    return HeelsSeenOut(
        id=look.pk,
        at=look.at,
        looked_by=look.looked_by.username if look.looked_by else None,
        left=Heel(look.left) if shown else None,
        right=Heel(look.right) if shown else None,
    )


def _markless(
    animals: Iterable[Animal], profiles: Mapping[int, ProfileVersion]
) -> tuple[MarklessOut, ...]:
    found = Counter((one.species.code, _mark(one, profiles)) for one in animals)
    return tuple(
        MarklessOut(species=species, animals=many, why=why)
        for (species, why), many in sorted(found.items(), key=lambda one: one[0][0])
        if why is not None
    )
