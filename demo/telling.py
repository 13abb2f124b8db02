"""What the demo shows when it is built: the last morning, and how to go on."""

from collections.abc import Iterator

from demo import scenario
from demo.build import Demo
from husbandry.models import Finding
from husbandry.queries.findings import findings_of_night
from husbandry.rules.findings import URGENCY_ORDER
from husbandry.rules.sentences.findings import describe
from husbandry.rules.vocabulary import FindingKind, Urgency

ADDRESS = "http://127.0.0.1:8000/"


def morning(demo: Demo) -> Iterator[str]:
    """Yield the findings of the demo's last night as lines, most urgent first."""
    rows = list(findings_of_night(site=demo.site, on=demo.until))
    yield f"{demo.site.name}, the morning after {demo.until:%d %b %Y}: {_count(rows)}."
    for urgency in sorted(Urgency, key=URGENCY_ORDER.__getitem__):
        of_urgency = [row for row in rows if row.urgency == urgency.value]
        if of_urgency:
            yield ""
            yield f"{urgency.value.capitalize()}:"
        for row in of_urgency:
            yield from _lines(row)


def _count(rows: list[Finding]) -> str:
    return "1 finding" if len(rows) == 1 else f"{len(rows)} findings"


def _lines(row: Finding) -> Iterator[str]:
    words = describe(FindingKind(row.kind), row.evidence)
    nights = "1 night" if row.nights_seen == 1 else f"{row.nights_seen} nights"
    yield f"  {words.who}: {words.what}"
    yield f"    Since {row.opened_on:%d %b %Y} ({nights}). {words.first_step}"


def how_to_go_on() -> Iterator[str]:
    """Yield how to open the pages, and as whom."""
    yield f"Now run ./dev serve, open {ADDRESS} and sign in as one of:"
    width = max(len(person.username) for person in scenario.PEOPLE)
    for person in scenario.PEOPLE:
        role = person.role.value.replace("_", " ")
        yield f"  {person.username:<{width}}  {person.password:<22}  {role}"
    yield (
        "These passwords are printed in the source and are for the demo only: never "
        "use them, or this database, on a server that others can reach."
    )
