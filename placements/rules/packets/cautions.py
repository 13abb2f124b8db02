"""Cautions that every packet carries, whatever the animal's profile says.

Source:
    aap-salmonella for Salmonella; the others are common practice, no source
    (docs/sources.md). None of them names a dose; that is for a licensed vet.
"""

from datetime import date

from husbandry.rules.vocabulary import Standing
from placements.rules.packets.documents import SourceLine
from placements.rules.packets.plans import Basis, TextLine

REVIEWED_ON = date(2026, 3, 1)
AAP = "aap-salmonella"
PRACTICE = "common-practice"
SOURCES = (
    SourceLine(
        key=AAP,
        title="American Academy of Pediatrics and CDC: Salmonella from reptiles",
        kind="reference_site",
        year=None,
        where="table of the AAP; cdc.gov",
    ),
    SourceLine(
        key=PRACTICE,
        title="What careful keepers hold to; nothing is published for it",
        kind="practice",
        year=None,
        where="no source",
    ),
)


def _caution(id_: str, source: str, text: str) -> TextLine:
    standing = Standing.PUBLISHED if source == AAP else Standing.COMMON_PRACTICE
    return TextLine(id_, "", text, Basis(source, standing, REVIEWED_ON, ""))


GENERAL = (
    _caution(
        "caution-salmonella",
        AAP,
        "Salmonella: healthy reptiles carry it. Wash your hands with soap after every "
        "contact with the animal, its enclosure or its food; keep all of it out of "
        "the kitchen; do not kiss it. Children under five, people over 65 and people "
        "with weak defences should not touch it, and it does not belong in a home "
        "with a child under one year.",
    ),
    _caution(
        "caution-heat-electricity",
        PRACTICE,
        "Heat and electricity: guard every lamp, use a ceramic holder within its "
        "rated power, a thermostat and a timer, and no overloaded socket strip. Lead "
        "cables so that water runs away from the plug. Unplug before you reach in. "
        "Fit a smoke alarm.",
    ),
    _caution(
        "caution-never-release",
        PRACTICE,
        "Never release it. It would die, or settle where it does harm; in many places "
        "it is a crime. If you cannot keep it, bring it back to whoever gave it to "
        "you, or to a rescue.",
    ),
    _caution(
        "caution-permits",
        PRACTICE,
        "Law: ask your own authority whether you need a permit to keep, move, sell or "
        "breed this kind of animal, and keep every paper that came with it. Crossing "
        "a border usually needs permits beforehand. Local law decides.",
    ),
    _caution(
        "caution-transport",
        PRACTICE,
        "Transport: move it only when it is well, in the dark, in a ventilated box "
        "that keeps its temperature, neither fed just before nor sedated. Never leave "
        "it in a parked car.",
    ),
    _caution(
        "caution-vet",
        PRACTICE,
        "Vet: find a licensed reptile vet before you need one. This packet names no "
        "medicine and no dose on purpose; only a vet who has seen the animal can.",
    ),
)
