"""Papers of animals and of their species, as of a day."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import UTC, date, datetime, time, timedelta

from django.core.files.storage import default_storage
from django.db.models import OuterRef, Q, QuerySet, Subquery

from core.models import Site
from husbandry.models import Animal, Stay
from husbandry.queries.animals import in_care_on
from placements.models import AnimalPaper
from placements.rules.papers.facts import PaperFacts, is_in_force
from placements.rules.vocabulary import CitesSource, PaperKind


def papers_of(
    *, animal_ids: Collection[int], on: date
) -> Mapping[int, tuple[PaperFacts, ...]]:
    """Return the papers of animals, and of keeping their species; two queries.

    Args:
        animal_ids: of which animals.
        on: the day; those that were withdrawn by then are left out. Those that have
            ended, or are not issued yet, are told as not in force.

    Returns:
        By animal, those about itself first, then by kind; () where it has none.
    """
    species = dict(
        Animal.objects.filter(pk__in=animal_ids).values_list("pk", "species_id")
    )
    of_animal: dict[int, list[PaperFacts]] = defaultdict(list)
    of_species: dict[int, list[PaperFacts]] = defaultdict(list)
    wanted = Q(animal__in=animal_ids) | Q(species__in=set(species.values()))
    for paper in paper_facts(standing_papers(on=on).filter(wanted), on=on):
        if paper.animal is not None:
            of_animal[paper.animal].append(paper)
        elif paper.species is not None:
            of_species[paper.species].append(paper)
    return {
        animal: (*of_animal[animal], *of_species[kind])
        for animal, kind in species.items()
    }


def standing_papers(*, on: date) -> QuerySet[AnimalPaper]:
    """Return the papers that were not withdrawn by a day (UTC)."""
    next_at = datetime.combine(on, time(0), UTC) + timedelta(days=1)
    return AnimalPaper.objects.filter(
        Q(withdrawn_at__isnull=True) | Q(withdrawn_at__gte=next_at)
    )


def paper_facts(papers: QuerySet[AnimalPaper], *, on: date) -> tuple[PaperFacts, ...]:
    """Return papers as rules know them, by kind; one query.

    Args:
        papers: which.
        on: the day on which they are in force or not.
    """
    return tuple(_facts(papers.order_by("kind", "valid_until", "pk"), on))


def _facts(papers: Iterable[AnimalPaper], on: date) -> Iterable[PaperFacts]:
    for paper in papers:
        yield PaperFacts(
            id=paper.pk,
            kind=PaperKind(paper.kind),
            animal=paper.animal_id,
            species=paper.species_id,
            number=paper.number,
            cites_source=CitesSource(paper.cites_source)
            if paper.cites_source
            else None,
            issued_by=paper.issued_by,
            issued_on=paper.issued_on,
            valid_until=paper.valid_until,
            in_force=is_in_force(
                on, issued_on=paper.issued_on, valid_until=paper.valid_until
            ),
        )


def papers_due(*, site: Site, on: date) -> tuple[PaperFacts, ...]:
    """Return the papers of who is in care at a site on a day; one query.

    Args:
        site: where. An animal belongs to the site of its last stay; the first site
            answers for those that never had an enclosure, as it does at night.
        on: the day. What was withdrawn by then is left out.

    Returns:
        Those about the animals, and those about keeping their species.
    """
    last = Stay.objects.filter(
        animal=OuterRef("pk"),
        from_at__lt=datetime.combine(on, time(0), UTC) + timedelta(days=1),
    ).order_by("-from_at")
    here = Q(last_site=site.pk)
    if site == Site.objects.earliest("pk"):
        here |= Q(last_site__isnull=True)
    animals = Animal.objects.filter(in_care_on(on)).annotate(
        last_site=Subquery(last.values("enclosure__room__site")[:1])
    )
    animals = animals.filter(here)
    wanted = Q(animal__in=animals.values("pk")) | Q(
        species__in=animals.values("species")
    )
    return paper_facts(standing_papers(on=on).filter(wanted), on=on)


def paper_photo(*, paper: AnimalPaper) -> bytes | None:
    """Return the photograph of a paper; None: there is none, or it was taken away."""
    name = paper.photo.name or ""
    if not name or not default_storage.exists(name):
        return None
    with default_storage.open(name) as file:
        return bytes(file.read())
