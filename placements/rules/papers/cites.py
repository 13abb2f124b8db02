"""What the source codes of CITES permits mean, and what follows from them.

Local law and the authorities decide what a paper is good for; this says only what the
codes mean, so that a wrong one is noticed.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from husbandry.rules.vocabulary import Origin
from placements.rules.vocabulary import CitesSource


@dataclass(frozen=True, slots=True)
class SourceMeaning:
    """What a source code means.

    Attributes:
        words: the meaning, in a few words.
        of_animals: it can stand on the paper of an animal; otherwise of plants only.
        as_wild: permits for it are treated as for what was taken from the wild.
    """

    words: str
    of_animals: bool = True
    as_wild: bool = False


SOURCES: Mapping[CitesSource, SourceMeaning] = {
    CitesSource.WILD: SourceMeaning("taken from the wild", as_wild=True),
    CitesSource.RANCHED: SourceMeaning("ranched"),
    CitesSource.APPENDIX_I_BRED_FOR_TRADE: SourceMeaning(
        "of Appendix I, bred for trade in a registered operation"
    ),
    CitesSource.ARTIFICIALLY_PROPAGATED: SourceMeaning(
        "a plant, artificially propagated", of_animals=False
    ),
    CitesSource.BRED_IN_CAPTIVITY: SourceMeaning("bred in captivity"),
    CitesSource.BORN_IN_CAPTIVITY: SourceMeaning(
        "born in captivity, not meeting the definition of bred in captivity",
        as_wild=True,
    ),
    CitesSource.UNKNOWN: SourceMeaning("source unknown"),
    CitesSource.CONFISCATED: SourceMeaning("confiscated or seized"),
    CitesSource.PRE_CONVENTION: SourceMeaning("from before the Convention"),
    CitesSource.MARINE: SourceMeaning(
        "taken in the sea outside the jurisdiction of any state"
    ),
    CitesSource.ASSISTED_PRODUCTION: SourceMeaning(
        "a plant, of assisted production", of_animals=False
    ),
}
APPENDIX_II_GENERA = frozenset({"Chamaeleo", "Furcifer", "Trioceros"})
BORN = frozenset({Origin.BORN_HERE, Origin.BORN_ELSEWHERE})
CAPTIVE = frozenset({CitesSource.BRED_IN_CAPTIVITY, CitesSource.BORN_IN_CAPTIVITY})


def meaning_of(source: CitesSource) -> SourceMeaning:
    """Return what a source code means.

    Source:
        cites-sources for the meanings; cites-source-f for F, which is treated as from the
        wild.
    """
    return SOURCES[source]


def appendix_of(scientific_name: str) -> str:
    """Return `II` where the genus is known to stand in Appendix II, else "".

    "" says nothing: only the genera that this program knows are looked up.

    Args:
        scientific_name: genus first.

    Source:
        cites-chameleons.
    """
    genus = scientific_name.split(" ", 1)[0]
    return "II" if genus in APPENDIX_II_GENERA else ""


def contradiction(source: CitesSource, origin: Origin) -> str:
    """Return why a source code and the origin on record cannot both be right, or "".

    Args:
        source: on the paper.
        origin: on record of the animal.

    Source:
        cites-sources.
    """
    if source is CitesSource.WILD and origin in BORN:
        return "The paper says that it was taken from the wild; on record it was born."
    if source in CAPTIVE and origin is Origin.WILD_CAUGHT:
        return (
            "The paper says that it was born in captivity; on record it was taken from "
            "the wild."
        )
    return ""


def remarks_on(
    source: CitesSource | None, *, scientific_name: str, origin: Origin | None
) -> tuple[str, ...]:
    """Return what is to be known beside a paper; no remark says that it is good.

    Args:
        source: the letter on it; None: it names none.
        scientific_name: of the animal or species that it is about.
        origin: on record of the animal; None: it is about a whole species.

    Source:
        cites-sources, cites-source-f, cites-chameleons.
    """
    found = []
    if source is not None:
        meaning = meaning_of(source)
        found.append(f"Source {source.value} means: {meaning.words}.")
        if meaning.as_wild:
            found.append(
                f"For permits, source {source.value} is treated as taken from the wild."
            )
        if origin is not None and (why := contradiction(source, origin)):
            found.append(f"{why} One of the two is wrong.")
    if appendix := appendix_of(scientific_name):
        found.append(
            f"Its genus stands in CITES Appendix {appendix}; ask the authority which "
            "papers it needs before it crosses a border."
        )
    return tuple(found)
