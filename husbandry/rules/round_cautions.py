"""The cautions that stand at the head of a round's sheet.

Source:
    aap-salmonella for Salmonella; quarantine-guidance for quarantine; the others are
    common practice, no source (docs/sources.md). None of them names a dose; that is
    for a licensed vet.
"""

from husbandry.rules.round_sheets import RoundSheet
from husbandry.rules.vocabulary import RoundNoteKind, TaskKind

QUARANTINE = (
    "Quarantine. Walk this room last. Use the tongs, tools and clothes that stay here; "
    "carry nothing from here into another room. Wash and disinfect your hands before "
    "you leave."
)
KEPT_APART = (
    "Animals in quarantine come last. Use tongs, tools and clothes for each that go to "
    "no other animal; wash and disinfect your hands afterwards."
)
SALMONELLA = (
    "Healthy reptiles can carry Salmonella. Wash your hands with soap after each "
    "animal, its enclosure and its food; eat and drink elsewhere."
)
MEDICINES = (
    "Give medicines only as a licensed reptile vet prescribed them, and as the label "
    "says. A missed dose is not made up for; ask the vet."
)
ELECTRICITY = (
    "Switch a lamp off, unplug it and let it cool before you touch it. Do not look "
    "into UV lamps."
)
GRAVID = (
    "Females that carry eggs or young: look, do not lift them, and never press the "
    "belly. One that is weak, strains, or stopped laying part of the way needs a "
    "licensed reptile vet."
)
LAMP_TASKS = frozenset({TaskKind.UV_CHECK, TaskKind.LAMP_CHANGE})


def cautions_of(sheet: RoundSheet) -> tuple[str, ...]:
    """Return what to heed on this walk: Salmonella always, others by what is due.

    Args:
        sheet: with its tasks; a dose left open calls for the caution as well.
    """
    overdue = (t for animal in sheet.animals for t in animal.overdue)
    kinds = {task.kind for task in (*sheet.all_tasks, *overdue)}
    found = [SALMONELLA]
    if _keeps_apart(sheet) and not sheet.place.room.quarantine:
        found.append(KEPT_APART)
    if TaskKind.DOSE in kinds:
        found.append(MEDICINES)
    if kinds & LAMP_TASKS:
        found.append(ELECTRICITY)
    if TaskKind.WATCH in kinds:
        found.append(GRAVID)
    return tuple(found)


def _keeps_apart(sheet: RoundSheet) -> bool:
    notes = (note for animal in sheet.animals for note in animal.notes)
    return any(note.kind is RoundNoteKind.QUARANTINE for note in notes)
