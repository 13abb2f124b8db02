"""Record papers of animals and of keeping species, and withdraw them."""

from datetime import date, datetime, timedelta

from django.db import transaction

from core import audit
from core.models import User
from core.photographs import kept_photograph
from husbandry.models import Animal, Species
from placements.models import AnimalPaper
from placements.rules.papers.checking import (
    LONGEST_REASON,
    Draft,
    PaperError,
    check_paper,
)
from placements.rules.vocabulary import CitesSource, PaperKind

# The latest local day on Earth is that of UTC+14.
FURTHEST_ZONE = timedelta(hours=14)
# A note may name people, so it stays out of the audit trail.
TOLD = (
    *("kind", "animal", "species", "number", "cites_source", "issued_by"),
    *("issued_on", "valid_until"),
)


@transaction.atomic
def record_paper(
    *,
    kind: PaperKind,
    number: str,
    issued_by: str,
    by: User | None,
    at: datetime,
    animal: Animal | None = None,
    species: Species | None = None,
    cites_source: CitesSource | None = None,
    issued_on: date | None = None,
    valid_until: date | None = None,
    note: str = "",
) -> AnimalPaper:
    """Record a paper about an animal, or about keeping a species.

    Args:
        kind: what it is.
        number: as printed on it.
        issued_by: the office, vet or person, as printed on it.
        by: the person.
        at: now.
        animal: what it is about, or else
        species: what keeping it is about.
        cites_source: the letter on a CITES permit or certificate, which name one.
        issued_on: None: not known.
        valid_until: its last day; None: it does not end.
        note: anything else.

    Raises:
        PaperError: see `check_paper`; or the same paper is on record.
    """
    draft = Draft(
        kind=kind,
        of_animal=animal is not None,
        of_species=species is not None,
        number=number.strip(),
        cites_source=cites_source,
        issued_by=issued_by.strip(),
        issued_on=issued_on,
        valid_until=valid_until,
    )
    check_paper(draft, today=(at + FURTHEST_ZONE).date())
    _check_new(draft, animal, species)
    paper = AnimalPaper.objects.create(
        kind=kind.value,
        animal=animal,
        species=species,
        number=draft.number,
        cites_source=cites_source.value if cites_source else "",
        issued_by=draft.issued_by,
        issued_on=issued_on,
        valid_until=valid_until,
        note=note.strip(),
        recorded_by=by,
        recorded_at=at,
    )
    after = audit.values(paper, *TOLD)
    audit.record(paper, verb="record_paper", by=by, at=at, after=after)
    return paper


def _check_new(draft: Draft, animal: Animal | None, species: Species | None) -> None:
    # Whoever records a paper about an animal holds the animal, so that the same one
    # sent twice at once is recorded once.
    if animal is not None:
        Animal.objects.select_for_update(of=("self",)).get(pk=animal.pk)
    if species is not None:
        Species.objects.select_for_update(of=("self",)).get(pk=species.pk)
    if AnimalPaper.objects.filter(
        kind=draft.kind.value,
        animal=animal,
        species=species,
        number=draft.number,
        withdrawn_at__isnull=True,
    ).exists():
        raise PaperError(
            f"The paper {draft.number} about {animal or species} is on record already. "
            "Withdraw that one first if it was recorded wrongly.",
            fields={"number": "one that is not on record"},
        )


@transaction.atomic
def withdraw_paper(
    *, paper: AnimalPaper, reason: str, by: User | None, at: datetime
) -> AnimalPaper:
    """Withdraw a paper that was recorded wrongly or holds no more; it stays on record.

    Args:
        paper: one that was not withdrawn.
        reason: why, up to 200 characters.
        by: the person.
        at: now.

    Raises:
        PaperError: no reason, one that is too long, or it was withdrawn before.
    """
    reason = reason.strip()
    if not 0 < len(reason) <= LONGEST_REASON:
        raise PaperError(
            f"Say in 1 to {LONGEST_REASON} characters why the paper is withdrawn.",
            fields={"reason": f"1 to {LONGEST_REASON} characters"},
        )
    changed = AnimalPaper.objects.filter(pk=paper.pk, withdrawn_at__isnull=True).update(
        withdrawn_at=at, withdrawn_by=by, withdrawn_reason=reason
    )
    paper.refresh_from_db()
    if not changed:
        raise PaperError(
            f"The paper {paper.number} was withdrawn already: {paper.withdrawn_reason}"
        )
    audit.record(paper, verb="withdraw_paper", by=by, at=at, reason=reason)
    return paper


def keep_paper_photo(
    *, paper: AnimalPaper, data: bytes, by: User | None, at: datetime
) -> AnimalPaper:
    """Keep a photograph of a paper, drawn anew without what it gives away; one for each.

    Row and file are both kept or neither, see `core.photographs.kept_photograph`; so
    the transaction is its own or a whole one.

    Args:
        paper: one that was not withdrawn and has no photograph yet.
        data: of the photograph as it was handed in, see `stripped`.
        by: the person.
        at: now.

    Raises:
        PhotographError: it cannot be kept.
        PaperError: the paper has one already, or was withdrawn.
    """
    with kept_photograph(data, folder="papers") as name:
        row = AnimalPaper.objects.select_for_update(of=("self",)).get(pk=paper.pk)
        _check_photo_wanted(row)
        row.photo.name = name
        row.save(update_fields=["photo"])
        audit.record(row, verb="keep_paper_photo", by=by, at=at, after={"photo": name})
    return row


def _check_photo_wanted(paper: AnimalPaper) -> None:
    if paper.withdrawn_at is not None:
        raise PaperError(f"The paper {paper.number} was withdrawn.")
    if paper.photo:
        raise PaperError(
            f"The paper {paper.number} has a photograph already. Withdraw it and record "
            "it again if the photograph is wrong.",
            fields={"photo": "one for each paper"},
        )
