"""What is recorded of a home, and what of it cannot be kept."""

import re
from dataclasses import dataclass

from placements.rules.applications.texts import problem_with, tidy
from placements.rules.vocabulary import HomeKind, Paper, UnitSystem

LONGEST_NAME, LONGEST_CONTACT, LONGEST_EMAIL, LONGEST_NOTES = 120, 1_000, 254, 4_000
ERASED = "(erased)"
"""In place of a name that was erased."""
_EMAIL = re.compile(r"[^@\s<>\"(),:;]+@[^@\s<>\"(),:;.]+(\.[^@\s<>\"(),:;.]+)+")
_LANGUAGE = re.compile(r"[a-z]{2,3}(-[A-Za-z0-9]{2,8})*")
_LONGEST_LANGUAGE = 10


@dataclass(frozen=True, slots=True)
class HomeDetails:
    """A home as it is written down: personal data, and how its papers are printed."""

    name: str
    contact: str = ""
    email: str = ""
    notes: str = ""
    kind: HomeKind = HomeKind.HOUSEHOLD
    units: UnitSystem = UnitSystem.METRIC
    paper: Paper = Paper.A4
    language: str = "en"


def tidied(details: HomeDetails) -> HomeDetails:
    """Return details as they are kept: without spaces around them."""
    return HomeDetails(
        name=tidy(details.name),
        contact=tidy(details.contact),
        email=tidy(details.email),
        notes=tidy(details.notes),
        kind=details.kind,
        units=details.units,
        paper=details.paper,
        language=details.language.strip(),
    )


def problems_of(details: HomeDetails) -> dict[str, str]:
    """Return what of a home cannot be kept: a sentence by field; none where all can.

    Args:
        details: as `tidied` returns them.
    """
    longest = {
        "name": LONGEST_NAME,
        "contact": LONGEST_CONTACT,
        "email": LONGEST_EMAIL,
        "notes": LONGEST_NOTES,
    }
    problems = {
        field: problem
        for field, most in longest.items()
        if (problem := problem_with(getattr(details, field), longest=most))
    }
    if not details.name:
        problems["name"] = "A home needs a name."
    elif details.name == ERASED:
        problems["name"] = f"{ERASED} stands for a name that was erased; give another."
    elif "\n" in details.name:
        problems.setdefault("name", "A name stands on one line.")
    if details.email and not _EMAIL.fullmatch(details.email):
        problems.setdefault(
            "email", "Give one e-mail address, such as name@example.org."
        )
    if not _is_language(details.language):
        problems["language"] = (
            "Give a language as BCP 47 writes it, such as en or pt-BR."
        )
    return problems


def problems_of_applicant(details: HomeDetails) -> dict[str, str]:
    """Return what of somebody who applies cannot be kept: they have to be reachable.

    Args:
        details: as `tidied` returns them.
    """
    problems = problems_of(details)
    if not (details.email or details.contact):
        problems["contact"] = "Give an e-mail address or a telephone number, or both."
    return problems


def _is_language(text: str) -> bool:
    return len(text) <= _LONGEST_LANGUAGE and bool(_LANGUAGE.fullmatch(text))
