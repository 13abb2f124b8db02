"""What an applicant is told about Salmonella: advice, never a refusal."""

from collections.abc import Mapping

from placements.rules.applications.questions import YES

SALMONELLA = (
    "Healthy reptiles can carry Salmonella, and their water, dishes and branches with "
    "them.",
    "Everybody washes hands with soap after touching the animal, its enclosure or its "
    "things; children with help.",
    "Keep it and its things out of kitchens and wherever food is made. Do not kiss it. "
    "What it was bathed in is disinfected afterwards.",
)
AT_RISK = (
    "Paediatricians and public health offices advise that children under five, people "
    "over 65 and people with a weak immune system have no contact with reptiles, and "
    "that none is kept where a child under one lives. Pregnancy calls for the same "
    "care.",
    "This is advice, not a refusal: ask your doctor, and tell us how you keep them "
    "apart.",
)


def somebody_at_risk(answers: Mapping[str, str]) -> bool:
    """Say whether an applicant answered that somebody at risk lives there.

    Args:
        answers: as kept; not answered counts as no.
    """
    return answers.get("people_at_risk") == YES


def salmonella_advice(answers: Mapping[str, str]) -> tuple[str, ...]:
    """Return what an applicant is told about Salmonella, a paragraph each.

    Args:
        answers: as kept. Where somebody at risk lives there, more is told; nothing
            is refused.

    Source:
        aap-salmonella; that pregnancy calls for the same care is from memory.
    """
    return (*SALMONELLA, *AT_RISK) if somebody_at_risk(answers) else SALMONELLA
