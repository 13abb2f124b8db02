"""The cautions that stand at the head of a round's sheet.

Source:
    aap-salmonella for Salmonella; the others are common practice, no source
    (docs/sources.md). None of them names a dose; that is for a licensed vet.
"""

from husbandry.rules.round_sheets import RoundSheet
from husbandry.rules.vocabulary import TaskKind

QUARANTINE = (
    "Quarantine. Walk this room last. Use the tongs, tools and clothes that stay here; "
    "carry nothing from here into another room. Wash and disinfect your hands before "
    "you leave."
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
    if TaskKind.DOSE in kinds:
        found.append(MEDICINES)
    if kinds & LAMP_TASKS:
        found.append(ELECTRICITY)
    if TaskKind.WATCH in kinds:
        found.append(GRAVID)
    return tuple(found)
