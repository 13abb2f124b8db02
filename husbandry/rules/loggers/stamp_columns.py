"""Which columns of a sheet are the stamp, in which form, order and zone."""

from dataclasses import dataclass
from decimal import Decimal

from husbandry.rules.loggers.columns import (
    STAMP_KINDS,
    Content,
    content_of,
    numbers_in,
)
from husbandry.rules.loggers.headers import (
    Role,
    ZoneWord,
    day_order_in,
    is_clock_heading,
    meaning,
    zone_in,
)
from husbandry.rules.loggers.lexicon import ZONE_WORDS
from husbandry.rules.loggers.sheet import Sheet
from husbandry.rules.loggers.stamps import orders_of, read_stamps
from husbandry.rules.loggers.trust import UntrustedFileError
from husbandry.rules.loggers.vocabulary import ClockForm, DayOrder, Untrusted
from husbandry.rules.loggers.words import tokens

# 1990 to 2100, in each of the ways to count.
NUMERIC_FORMS = (
    (ClockForm.EPOCH_S, Decimal(631_152_000), Decimal(4_102_444_800)),
    (ClockForm.EPOCH_MS, Decimal(631_152_000_000), Decimal(4_102_444_800_000)),
    (ClockForm.SERIAL, Decimal(32_874), Decimal(73_051)),
)


@dataclass(frozen=True, slots=True)
class StampChoice:
    """The columns that were found, and what else could have been meant."""

    columns: tuple[int, ...]
    clock: ClockForm
    share: float
    by_heading: bool
    others: tuple[int, ...] = ()
    """Further columns that could be the stamp just as well."""


def choose_stamp_columns(sheet: Sheet) -> StampChoice:
    """Return the columns that hold the stamp.

    Looked for in this order: date and time in one column (one whose heading says so
    before one that does not, one that states its zone before one that does not);
    date and time in two; a time only; a count of seconds or days under a heading
    that says time.

    Raises:
        UntrustedFileError: no_stamps, or no_times when there are dates only.

    Source:
        House rule, no source; see ADR 0009.
    """
    contents = _contents(sheet)
    for content in STAMP_KINDS:
        found = _preferred(sheet, contents, content)
        if found:
            return _with_parts(sheet, contents, content, found)
    numeric = _numeric(sheet, contents)
    if numeric:
        return numeric
    raise UntrustedFileError(Untrusted.NO_STAMPS)


def _contents(sheet: Sheet) -> list[tuple[Content, float]]:
    return [
        content_of(
            sheet.column(index),
            stamp_heading=meaning(heading).role is Role.STAMP,
            clock_heading=is_clock_heading(heading),
        )
        for index, heading in enumerate(sheet.header)
    ]


def _says_stamp(sheet: Sheet, index: int) -> bool:
    return meaning(sheet.header[index]).role is Role.STAMP


def _preferred(
    sheet: Sheet, contents: list[tuple[Content, float]], content: Content
) -> list[int]:
    """Return the columns of one content; those that a heading names, if any is."""
    found = [index for index, (kind, _) in enumerate(contents) if kind is content]
    named = [index for index in found if _says_stamp(sheet, index)]
    return named or found


def _with_parts(
    sheet: Sheet,
    contents: list[tuple[Content, float]],
    content: Content,
    found: list[int],
) -> StampChoice:
    stated = [index for index in found if zone_in(sheet.header[index])]
    first = stated[0] if len(stated) == 1 else found[0]
    others = () if stated == [first] else tuple(i for i in found if i != first)
    columns = [first]
    if content is Content.DAY:
        clocks = _preferred(sheet, contents, Content.CLOCK)
        if not clocks:
            raise UntrustedFileError(Untrusted.NO_TIMES)
        columns.append(next((i for i in clocks if i > first), clocks[0]))
        others = ()
    after = columns[-1] + 1
    if after < len(contents) and contents[after][0] is Content.HALF_OF_DAY:
        columns.append(after)
    return StampChoice(
        columns=tuple(columns),
        clock=ClockForm.TIME_ONLY if content is Content.CLOCK else ClockForm.TEXT,
        share=min(contents[index][1] for index in columns),
        by_heading=_says_stamp(sheet, first),
        others=() if content is Content.CLOCK else others,
    )


def _numeric(sheet: Sheet, contents: list[tuple[Content, float]]) -> StampChoice | None:
    """Return a column of seconds, milliseconds or days under a heading of time."""
    for index, (kind, share) in enumerate(contents):
        if kind is not Content.NUMBER or not _says_stamp(sheet, index):
            continue
        values = [
            w.value for w, _ in numbers_in(sheet.column(index), sentinels=frozenset())
        ]
        for form, low, high in NUMERIC_FORMS:
            if values and low <= min(values) and max(values) <= high:
                columns = (index, *_day_fraction(sheet, contents, index, form))
                return StampChoice(columns, form, share, by_heading=True)
    return None


def _day_fraction(
    sheet: Sheet, contents: list[tuple[Content, float]], index: int, form: ClockForm
) -> tuple[int, ...]:
    """Return the column that holds the fraction of a day beside whole days."""
    place = index + 1
    if (
        form is not ClockForm.SERIAL
        or place >= len(contents)
        or not _says_stamp(sheet, place)
    ):
        return ()
    values = [
        w.value for w, _ in numbers_in(sheet.column(place), sentinels=frozenset())
    ]
    return (place,) if values and min(values) >= 0 and max(values) <= 1 else ()


def stamp_texts(sheet: Sheet, columns: tuple[int, ...]) -> list[str]:
    """Return each row's stamp as one text: its columns joined with blanks."""
    if len(columns) == 1:
        return sheet.column(columns[0])
    parts = [sheet.column(index) for index in columns]
    return [" ".join(row).strip() for row in zip(*parts, strict=True)]


def day_orders(sheet: Sheet, choice: StampChoice) -> tuple[DayOrder, ...]:
    """Return the day orders that the column, the headings and the titles allow.

    Args:
        sheet: the file.
        choice: its stamp columns.

    Returns:
        One when decided. A pattern such as dd/mm/yyyy in a heading or title decides
        only between orders in which the whole column is possible.

    Raises:
        UntrustedFileError: mixed_day_order, mixed_date_forms.
    """
    if choice.clock is not ClockForm.TEXT:
        return (DayOrder.PLAIN,)
    orders = orders_of(read_stamps(stamp_texts(sheet, choice.columns)))
    stated = {
        day_order_in(text)
        for text in (*(sheet.header[i] for i in choice.columns), *sheet.preamble)
    } - {None}
    agreed = tuple(order for order in orders if order in stated)
    return agreed if len(agreed) == 1 and len(stated) == 1 else orders


def stated_zone(sheet: Sheet, choice: StampChoice) -> ZoneWord | None:
    """Return the zone that the stamp's headings or the titles name, if any does."""
    if choice.clock in (ClockForm.EPOCH_S, ClockForm.EPOCH_MS):
        return ZoneWord("+00:00", "epoch")
    titles = [line for line in sheet.preamble if set(tokens(line)) & ZONE_WORDS]
    for text in (*(sheet.header[index] for index in choice.columns), *titles):
        found = zone_in(text)
        if found:
            return found
    return None
