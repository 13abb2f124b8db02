"""Papers recorded, withdrawn, photographed, and who has which."""

from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext
from PIL import Image

from core.models import AuditEntry, Site, User
from core.photographs import PhotographError
from placements.actions.papers import keep_paper_photo, record_paper, withdraw_paper
from placements.models import AnimalPaper
from placements.queries.papers import papers_due, papers_of
from placements.rules.papers.checking import PaperError
from placements.rules.vocabulary import CitesSource, PaperKind
from tests.factories import (
    NOW,
    TODAY,
    AnimalFactory,
    AnimalPaperFactory,
    EarlierCareFactory,
    SiteFactory,
    SpeciesFactory,
    StayFactory,
)

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def record(**said: Any) -> AnimalPaper:
    given: dict[str, Any] = {
        "kind": PaperKind.CITES_CERTIFICATE,
        "number": " CC-1 ",
        "issued_by": "an invented office",
        "cites_source": CitesSource.BRED_IN_CAPTIVITY,
        "by": None,
        "at": NOW,
    }
    return record_paper(**(given | said))


def picture(kind: str = "JPEG") -> bytes:
    file = BytesIO()
    Image.new("RGB", (8, 6), "green").save(file, kind)
    return file.getvalue()


def test_a_paper_is_recorded_and_told_without_its_note() -> None:
    animal = AnimalFactory.create()

    paper = record(animal=animal, valid_until=TODAY, note="from Quitéria Lumbrales")

    stored = AnimalPaper.objects.get()
    assert (stored.number, stored.cites_source, stored.valid_until) == (
        *("CC-1", "C"),
        TODAY,
    )
    entry = AuditEntry.objects.get()
    assert (entry.verb, entry.subject_id) == ("record_paper", str(paper.pk))
    assert "Lumbrales" not in str(entry.after)


def test_the_same_paper_twice_is_refused_unless_it_was_withdrawn() -> None:
    animal = AnimalFactory.create()
    first = record(animal=animal)

    with pytest.raises(PaperError, match=r"CC-1 about .* is on record already"):
        record(animal=animal)

    record(animal=AnimalFactory.create())
    withdraw_paper(paper=first, reason="read wrongly", by=None, at=NOW)
    record(animal=animal)
    assert AnimalPaper.objects.count() == 3


def test_a_species_has_its_papers_once_too() -> None:
    said: dict[str, Any] = {"kind": PaperKind.KEEPING_PERMIT, "cites_source": None}
    record(species=SpeciesFactory(), **said)

    with pytest.raises(PaperError, match="already"):
        record(species=SpeciesFactory(), **said)


@pytest.mark.parametrize("reason", ["  ", "x" * 201])
def test_a_withdrawal_says_why(reason: str) -> None:
    with pytest.raises(PaperError, match="1 to 200"):
        withdraw_paper(paper=AnimalPaperFactory(), reason=reason, by=None, at=NOW)


def test_a_paper_is_withdrawn_once() -> None:
    paper = AnimalPaperFactory.create()
    withdraw_paper(paper=paper, reason="it was lost", by=None, at=NOW)

    with pytest.raises(PaperError, match="withdrawn already: it was lost"):
        withdraw_paper(paper=paper, reason="again", by=None, at=NOW)

    assert AuditEntry.objects.count() == 1


def test_a_photograph_of_a_paper_is_drawn_anew(
    settings: Any, tmp_path: Any, transactional_db: None
) -> None:
    settings.MEDIA_ROOT = tmp_path
    paper = AnimalPaperFactory.create()

    kept = keep_paper_photo(paper=paper, data=picture("PNG"), by=None, at=NOW)

    with default_storage.open(kept.photo.name) as file, Image.open(file) as image:
        assert (image.format, image.size) == ("JPEG", (8, 6))
    with pytest.raises(PaperError, match="has a photograph already"):
        keep_paper_photo(paper=paper, data=picture(), by=None, at=NOW)
    with pytest.raises(PhotographError):
        keep_paper_photo(paper=paper, data=b"%PDF-1.7", by=None, at=NOW)
    gone = AnimalPaperFactory.create(withdrawn_at=NOW, withdrawn_reason="lost")
    with pytest.raises(PaperError, match="was withdrawn"):
        keep_paper_photo(paper=gone, data=picture(), by=None, at=NOW)
    assert len([*tmp_path.rglob("*.jpg")]) == 1


def test_a_file_whose_row_is_not_kept_is_taken_away(
    settings: Any, tmp_path: Any, transactional_db: None
) -> None:
    settings.MEDIA_ROOT = tmp_path
    paper = AnimalPaperFactory.create()
    # The database looks whether this person exists only when all is written.
    nobody = User(pk=999_999)

    with pytest.raises(IntegrityError):
        keep_paper_photo(paper=paper, data=picture(), by=nobody, at=NOW)

    paper.refresh_from_db()
    assert not paper.photo
    assert not [*tmp_path.rglob("*.jpg")]


def test_papers_of_an_animal_and_of_its_species() -> None:
    animal = AnimalFactory.create()
    other = AnimalFactory.create(species=SpeciesFactory(code="other"))
    ended = AnimalPaperFactory.create(animal=animal, valid_until=TODAY - DAY)
    permit = AnimalPaperFactory.create(
        animal=None, species=animal.species, kind="keeping_permit"
    )
    AnimalPaperFactory.create(
        animal=animal, withdrawn_at=NOW - DAY, withdrawn_reason="lost"
    )
    AnimalPaperFactory.create(animal=other, kind="ownership", cites_source="")

    found = papers_of(animal_ids=[animal.pk, other.pk], on=TODAY)

    assert [(p.id, p.in_force) for p in found[animal.pk]] == [
        (ended.pk, False),
        (permit.pk, True),
    ]
    assert [p.kind for p in found[other.pk]] == [PaperKind.OWNERSHIP]


def test_a_paper_holds_for_the_days_before_it_was_withdrawn() -> None:
    paper = AnimalPaperFactory.create(withdrawn_at=NOW, withdrawn_reason="lost")
    key = paper.animal_id

    assert papers_of(animal_ids=[key], on=TODAY) == {key: ()}
    assert [p.id for p in papers_of(animal_ids=[key], on=TODAY - DAY)[key]] == [
        paper.pk
    ]


def test_papers_of_many_animals_are_two_queries() -> None:
    animals = [AnimalPaperFactory.create().animal_id for _ in range(5)]

    with CaptureQueriesContext(connection) as queries:
        papers_of(animal_ids=animals, on=TODAY)

    assert len(queries) == 2


def test_a_site_is_told_of_the_papers_of_who_is_in_care_there() -> None:
    first, second = SiteFactory.create(), SiteFactory.create()
    here = _housed(first)
    there = _housed(second, species=SpeciesFactory(code="other"))
    homeless = AnimalFactory.create()
    gone = AnimalFactory.create(left=True)
    again = AnimalFactory.create(arrived_on=TODAY + DAY)
    EarlierCareFactory.create(animal=again, arrived_on=TODAY - DAY, left_on=TODAY + DAY)
    papers = {
        animal: AnimalPaperFactory.create(animal=animal).pk
        for animal in (here, there, homeless, gone, again)
    }
    permit = AnimalPaperFactory.create(
        animal=None, species=there.species, kind="keeping_permit"
    )

    def told(site: Site) -> set[int]:
        return {paper.id for paper in papers_due(site=site, on=TODAY)}

    assert told(first) == {papers[here], papers[homeless], papers[again]}
    assert told(second) == {papers[there], permit.pk}


def _housed(site: Site, **more: Any) -> Any:
    said = {f"animal__{name}": value for name, value in more.items()}
    return StayFactory.create(enclosure__room__site=site, **said).animal
