"""Whether a paper can be recorded as given."""

from dataclasses import dataclass
from datetime import date

from core.errors import DomainError
from placements.rules.papers.cites import meaning_of
from placements.rules.vocabulary import CitesSource, PaperKind

# About keeping, trading or releasing a species at all.
OF_SPECIES = frozenset(
    {
        PaperKind.KEEPING_PERMIT,
        PaperKind.TRADE_LICENCE,
        PaperKind.RELEASE_PERMIT,
        PaperKind.OTHER,
    }
)
NAMES_SOURCE = frozenset({PaperKind.CITES_PERMIT, PaperKind.CITES_CERTIFICATE})
MAY_NAME_SOURCE = NAMES_SOURCE | {PaperKind.ORIGIN_STATEMENT, PaperKind.OTHER}
LONGEST_NUMBER = 60
LONGEST_OFFICE = 160
LONGEST_REASON = 200


class PaperError(DomainError):
    """A paper cannot be as given."""

    code = "paper_refused"


@dataclass(frozen=True, slots=True)
class Draft:
    """A paper before it is recorded.

    Attributes:
        of_animal, of_species: what it is about; one of them.
        valid_until: its last day; None: it does not end.
    """

    kind: PaperKind
    of_animal: bool
    of_species: bool
    number: str
    cites_source: CitesSource | None
    issued_by: str
    issued_on: date | None
    valid_until: date | None


def check_paper(draft: Draft, *, today: date) -> None:
    """Refuse a paper that cannot be as given.

    Args:
        draft: as typed, texts stripped.
        today: the latest local day that has begun anywhere.

    Raises:
        PaperError: about nothing or about both, a kind that is only about animals
            given for a species, no number or issuer, a source code that is missing or
            of plants only, days out of order or an issue to come.

    Source:
        cites-sources for the codes of plants.
    """
    _check_subject(draft)
    _check_texts(draft)
    _check_source(draft)
    _check_days(draft, today)


def _check_subject(draft: Draft) -> None:
    if draft.of_animal is draft.of_species:
        raise PaperError(
            "A paper is about one animal, or about keeping a species: give one of them.",
            fields={"animal": "an animal, or else a species"},
        )
    if draft.of_species and draft.kind not in OF_SPECIES:
        raise PaperError(
            f"A {_word(draft.kind)} is about one animal. For a whole species there are "
            "keeping permits, trade licences and release permits.",
            fields={"animal": "the animal it is about"},
        )


def _check_texts(draft: Draft) -> None:
    for name, text, longest in (
        ("number", draft.number, LONGEST_NUMBER),
        ("issued_by", draft.issued_by, LONGEST_OFFICE),
    ):
        if not 0 < len(text) <= longest:
            raise PaperError(
                f"{text!r} cannot be kept as {name.replace('_', ' ')}: give 1 to "
                f"{longest} characters, as printed on the paper.",
                fields={name: f"1 to {longest} characters"},
            )


def _check_source(draft: Draft) -> None:
    source = draft.cites_source
    if source is None:
        if draft.kind in NAMES_SOURCE:
            raise PaperError(
                f"A {_word(draft.kind)} names a source code. Give the letter that is "
                "printed on it; U where it says unknown.",
                fields={"cites_source": "the letter that is printed on it"},
            )
        return
    if draft.kind not in MAY_NAME_SOURCE:
        raise PaperError(
            f"A {_word(draft.kind)} has no CITES source code, but {source.value} was "
            "given. Leave it empty.",
            fields={"cites_source": "empty"},
        )
    meaning = meaning_of(source)
    if not meaning.of_animals:
        raise PaperError(
            f"The source code {source.value} means {meaning.words}; no animal has it. "
            "Read the paper again.",
            fields={"cites_source": "a code of animals: W, R, D, C, F, U, I, O or X"},
        )


def _check_days(draft: Draft, today: date) -> None:
    issued_on, valid_until = draft.issued_on, draft.valid_until
    if issued_on is not None and issued_on > today:
        raise PaperError(
            f"{issued_on} has not come yet; a paper is recorded once it was issued.",
            fields={"issued_on": f"until {today}"},
        )
    if issued_on is not None and valid_until is not None and valid_until < issued_on:
        raise PaperError(
            f"A paper issued on {issued_on} cannot have ended on {valid_until}, before "
            "that.",
            fields={"valid_until": f"{issued_on} or later"},
        )


def _word(kind: PaperKind) -> str:
    return kind.value.replace("_", " ").replace("cites", "CITES")
