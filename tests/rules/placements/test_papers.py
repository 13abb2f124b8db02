"""What papers may say, what their codes mean, and when they are told."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from husbandry.rules.assessments import Assessment
from husbandry.rules.vocabulary import FindingKind, Origin, Urgency
from placements.rules.papers.assessing import assess_papers
from placements.rules.papers.checking import Draft, PaperError, check_paper
from placements.rules.papers.cites import (
    SOURCES,
    appendix_of,
    contradiction,
    meaning_of,
    remarks_on,
)
from placements.rules.papers.facts import PaperFacts, is_in_force
from placements.rules.vocabulary import CitesSource, PaperKind

TODAY = date(2026, 3, 2)
GOOD = Draft(
    kind=PaperKind.CITES_CERTIFICATE,
    of_animal=True,
    of_species=False,
    number="CC-1",
    cites_source=CitesSource.BRED_IN_CAPTIVITY,
    issued_by="an invented office",
    issued_on=TODAY,
    valid_until=TODAY,
)
# The codes of Resolution Conf. 12.3, as labels of public trade data restate them; of
# plants are A and Y. Notification 1998/14: F is treated as from the wild.
CODES = [
    ("W", True, True, "wild"),
    ("R", True, False, "ranched"),
    ("D", True, False, "Appendix I"),
    ("A", False, False, "plant"),
    ("C", True, False, "bred in captivity"),
    ("F", True, True, "born in captivity"),
    ("U", True, False, "unknown"),
    ("I", True, False, "confiscated"),
    ("O", True, False, "before the Convention"),
    ("X", True, False, "in the sea"),
    ("Y", False, False, "plant"),
]


@pytest.mark.parametrize(("code", "of_animals", "as_wild", "word"), CODES)
def test_what_source_codes_mean(
    code: str, of_animals: bool, as_wild: bool, word: str
) -> None:
    meaning = meaning_of(CitesSource(code))

    assert (meaning.of_animals, meaning.as_wild) == (of_animals, as_wild)
    assert word in meaning.words


def test_every_code_has_its_row() -> None:
    assert {source.value for source in SOURCES} == {code for code, *_ in CODES}


@pytest.mark.parametrize(
    ("name", "appendix"),
    [
        ("Chamaeleo calyptratus", "II"),
        ("Furcifer pardalis", "II"),
        ("Trioceros jacksonii xantholophus", "II"),
        ("Chamaeleonides invented", ""),
        ("Eublepharis macularius", ""),
        ("", ""),
    ],
)
def test_genera_of_appendix_ii(name: str, appendix: str) -> None:
    assert appendix_of(name) == appendix


@pytest.mark.parametrize(
    ("source", "origin", "contradicts"),
    [
        ("W", Origin.BORN_HERE, True),
        ("W", Origin.BORN_ELSEWHERE, True),
        ("W", Origin.WILD_CAUGHT, False),
        ("W", Origin.UNKNOWN, False),
        ("C", Origin.WILD_CAUGHT, True),
        ("F", Origin.WILD_CAUGHT, True),
        ("F", Origin.BORN_HERE, False),
        ("I", Origin.WILD_CAUGHT, False),
    ],
)
def test_source_and_origin(source: str, origin: Origin, contradicts: bool) -> None:
    assert bool(contradiction(CitesSource(source), origin)) is contradicts


def test_what_is_to_be_known_beside_a_paper() -> None:
    found = remarks_on(
        CitesSource.BORN_IN_CAPTIVITY,
        scientific_name="Chamaeleo calyptratus",
        origin=Origin.WILD_CAUGHT,
    )

    means, wild, wrong, listed = found
    assert "born in captivity" in means
    assert wild == "For permits, source F is treated as taken from the wild."
    assert wrong.endswith("One of the two is wrong.")
    assert "Appendix II" in listed


@pytest.mark.parametrize(
    ("source", "origin", "remarks"),
    [
        (None, None, 0),
        (CitesSource.BRED_IN_CAPTIVITY, None, 1),
        (CitesSource.BRED_IN_CAPTIVITY, Origin.BORN_HERE, 1),
        (CitesSource.WILD, None, 2),
    ],
)
def test_no_remark_more_than_is_known(
    source: CitesSource | None, origin: Origin | None, remarks: int
) -> None:
    found = remarks_on(source, scientific_name="Eublepharis", origin=origin)

    assert len(found) == remarks


def test_a_paper_as_it_should_be() -> None:
    check_paper(GOOD, today=TODAY)


@pytest.mark.parametrize(
    ("changes", "field", "word"),
    [
        ({"of_animal": False}, "animal", "one of them"),
        ({"of_species": True}, "animal", "one of them"),
        (
            {"of_animal": False, "of_species": True},
            "animal",
            "A CITES certificate is about one animal",
        ),
        ({"number": ""}, "number", "''"),
        ({"number": "1" * 61}, "number", "60"),
        ({"issued_by": ""}, "issued_by", "''"),
        ({"issued_by": "o" * 161}, "issued_by", "160"),
        ({"cites_source": None}, "cites_source", "names a source code"),
        ({"cites_source": CitesSource.ARTIFICIALLY_PROPAGATED}, "cites_source", "A"),
        ({"cites_source": CitesSource.ASSISTED_PRODUCTION}, "cites_source", "plant"),
        ({"kind": PaperKind.VET_CERTIFICATE}, "cites_source", "no CITES source"),
        ({"issued_on": date(2026, 3, 3)}, "issued_on", "2026-03-03 has not come"),
        ({"valid_until": date(2026, 3, 1)}, "valid_until", "2026-03-01"),
    ],
)
def test_what_cannot_be(changes: dict[str, object], field: str, word: str) -> None:
    with pytest.raises(PaperError) as refused:
        check_paper(replace(GOOD, **changes), today=TODAY)  # type: ignore[arg-type]  # fields by name

    assert list(refused.value.fields) == [field]
    assert word in refused.value.sentence


@pytest.mark.parametrize(
    "changes",
    [
        {"number": "1" * 60, "issued_by": "o" * 160},
        {"issued_on": None},
        {"valid_until": None},
        {"kind": PaperKind.ORIGIN_STATEMENT, "cites_source": None},
        {"kind": PaperKind.ORIGIN_STATEMENT},
        {
            "kind": PaperKind.KEEPING_PERMIT,
            "cites_source": None,
            "of_animal": False,
            "of_species": True,
        },
    ],
)
def test_what_can_be(changes: dict[str, object]) -> None:
    check_paper(replace(GOOD, **changes), today=TODAY)  # type: ignore[arg-type]  # fields by name


@pytest.mark.parametrize(
    ("issued", "ends", "holds"),
    [
        (None, None, True),
        (0, 0, True),
        (1, None, False),
        (None, -1, False),
        (-9, 1, True),
    ],
)
def test_when_a_paper_is_in_force(
    issued: int | None, ends: int | None, holds: bool
) -> None:
    def day(days: int | None) -> date | None:
        return None if days is None else TODAY + timedelta(days=days)

    assert is_in_force(TODAY, issued_on=day(issued), valid_until=day(ends)) is holds


def paper(key: int, days_left: int | None, **more: object) -> PaperFacts:
    ends = None if days_left is None else TODAY + timedelta(days=days_left)
    known = PaperFacts(
        id=key,
        kind=PaperKind.KEEPING_PERMIT,
        animal=7,
        species=None,
        number=f"K-{key}",
        cites_source=None,
        issued_by="an invented office",
        issued_on=None,
        valid_until=ends,
        in_force=days_left is None or days_left >= 0,
    )
    return replace(known, **more)  # type: ignore[arg-type]  # fields by name


@pytest.mark.parametrize(
    ("days_left", "urgency"),
    [
        (None, None),
        (61, None),
        (60, Urgency.WATCH),
        (1, Urgency.WATCH),
        (0, Urgency.TODAY),
        (-1, Urgency.TODAY),
        (-400, Urgency.TODAY),
    ],
)
def test_when_a_paper_is_told(days_left: int | None, urgency: Urgency | None) -> None:
    found = [one.urgency for one in assess_papers([paper(1, days_left)], on=TODAY)]

    assert found == ([] if urgency is None else [urgency])


def test_what_is_told_of_it() -> None:
    assert list(assess_papers([paper(4, 10)], on=TODAY)) == [
        Assessment(
            FindingKind.PAPER_EXPIRING,
            Urgency.WATCH,
            {
                "paper": "keeping_permit",
                "number": "K-4",
                "valid_until": "2026-03-12",
                "days_left": 10,
            },
            detail=("paper", "4"),
            animal=7,
        )
    ]


def test_a_permit_of_a_species_is_about_no_animal() -> None:
    (told,) = assess_papers([paper(4, 10, animal=None, species=3)], on=TODAY)

    assert told.animal is None


@pytest.mark.parametrize(
    ("other", "told"),
    [
        (paper(2, 400), []),
        (paper(2, None), []),
        (paper(2, 400, in_force=False, issued_on=TODAY + timedelta(1)), []),
        (paper(2, 400, animal=8), [1]),
        (paper(2, 400, animal=None, species=3), [1]),
        (paper(2, 400, kind=PaperKind.TRADE_LICENCE), [1]),
        (paper(2, 9), [1]),
        (paper(2, 10), [1, 2]),
        (paper(2, 11), [2]),
    ],
)
def test_a_paper_that_another_outlasts_is_not_told(
    other: PaperFacts, told: list[int]
) -> None:
    found = assess_papers([paper(1, 10), other], on=TODAY)

    assert [int(one.detail[1]) for one in found] == told
