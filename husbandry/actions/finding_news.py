"""Tell other programs which findings a night opened, and which are over."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime

from core.notice_words import NoticeKind
from core.notices import News, tell
from husbandry.models import Finding
from husbandry.queries.findings import OnRecord
from husbandry.rules.findings import Turn, turn_of

KINDS = {
    Turn.OPENED: NoticeKind.FINDING_OPENED,
    Turn.CLOSED: NoticeKind.FINDING_CLOSED,
}


def standing_open(recorded: Iterable[Iterable[OnRecord]]) -> dict[int, bool]:
    """Return whether each finding is open, by its number, before it is folded again."""
    return {one.row.pk: _is_open(one.row) for rows in recorded for one in rows}


def tell_of_findings(
    rows: Iterable[Finding], *, before: Mapping[int, bool], at: datetime
) -> None:
    """Tell of the findings that opened or are over; of the others nothing.

    A night that is reviewed again and says the same tells nothing. One that was
    withdrawn is over. One that is over already when it is first written, because
    older nights were folded again, is nobody's news.

    Args:
        rows: as they are stored now.
        before: see `standing_open`; a finding that is not in it is new.
        at: now.
    """
    turns = {row.pk: turn_of(before.get(row.pk), _is_open(row)) for row in rows}
    turned = {pk: turn for pk, turn in turns.items() if turn is not None}
    if turned:
        kinds = {KINDS[turn] for turn in turned.values()}
        tell(kinds, lambda: _news(turned), at=at)


def _is_open(row: Finding) -> bool:
    return row.closed_on is None and row.withdrawn_on is None


def _news(turned: Mapping[int, Turn]) -> Iterator[News]:
    rows = Finding.objects.select_related("site", "animal", "enclosure", "probe")
    found = rows.in_bulk(turned)
    for pk in sorted(turned):
        row = found[pk]
        yield News(
            KINDS[turned[pk]],
            pk,
            {
                "kind": row.kind,
                "urgency": row.urgency,
                "site": row.site.code,
                "animal": row.animal.code if row.animal else None,
                "enclosure": row.enclosure.code if row.enclosure else None,
                "probe": row.probe.code if row.probe else None,
                "opened_on": row.opened_on.isoformat(),
                "closed_on": row.closed_on.isoformat() if row.closed_on else None,
                "withdrawn": row.withdrawn_on is not None,
            },
        )
