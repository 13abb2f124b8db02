"""English sentences for refusals, notes and questions about a logger's file.

Each names the value, the reason and what would be accepted.
"""

from collections.abc import Mapping as Named

from husbandry.rules.loggers.remarks import Note, Question, Refusal
from husbandry.rules.loggers.vocabulary import Asked, Facts, Noted, Refused, Untrusted

REFUSED: Named[Refused, str] = {
    Refused.TOO_MANY_FIELDS: "has {fields} cells under {headings} headings. A cell that holds the delimiter has to be quoted",
    Refused.TOO_FEW_FIELDS: "ends after {fields} cells, where at least {needed} are needed: it was cut short",
    Refused.STAMP_MISSING: "has a value and no date or time",
    Refused.STAMP_UNREADABLE: "{value!r} is no date and time that can be read. Accepted are forms such as 2026-03-29 14:30, 29.03.2026 14:30 or 3/29/2026 2:30 PM",
    Refused.DATE_FORM_DIFFERS: "{value!r} is written in another form than the other dates of the column",
    Refused.DATE_IMPOSSIBLE: "{value!r} is no day of the calendar",
    Refused.TIME_MISSING: "{value!r} has no time, and is not the midnight between its neighbours",
    Refused.TIME_STEPS_BACK: "{value!r} is earlier than the row before, by less than half a day: without a date its day cannot be known",
    Refused.LOCAL_TIME_SKIPPED: "{value!r} does not exist in {zone}: the clock went from {last} to {next}. If the logger does not change its clock, give its fixed offset as the zone",
    Refused.LOCAL_TIME_TWICE: "{value!r} comes twice in {zone}, and the rows do not show which one is meant. If the logger does not change its clock, give its fixed offset as the zone",
    Refused.IN_FUTURE: "{value!r} is later than now ({until})",
    Refused.TOO_EARLY: "{value!r} is earlier than {earliest}: the logger's clock was not set",
    Refused.CHANNEL_MISSING: "does not say in {column!r} which instrument it is from",
    Refused.NOT_A_NUMBER: "{value!r} is no number with this file's decimal mark",
    Refused.UNIT_DIFFERS: "{value!r} has another unit than its column ({unit})",
    Refused.OUT_OF_RANGE: "{value!r} is outside of what an instrument can show ({low} to {high} {unit})",
    Refused.CONFLICTING: "{value} contradicts another row with the same instant (lines {lines}): which one is true cannot be known, so none is taken",
}  # fmt: skip

UNTRUSTED: Named[Untrusted, str] = {
    Untrusted.EMPTY: "The file is empty.",
    Untrusted.TOO_LARGE: "The file has {size} bytes; at most {limit} are read. Split it.",
    Untrusted.NOT_TEXT: "The file is neither text nor a spreadsheet. Export it from the logger's program as CSV.",
    Untrusted.ENCODING_WRONG: "The file cannot be read as {value!r}. Name the encoding it was saved in, such as utf-8 or cp1250, or none.",
    Untrusted.SPREADSHEET_OLD: "The file is a spreadsheet of the format before 2007. Save it as .xlsx or CSV.",
    Untrusted.SPREADSHEET_UNREADABLE: "The spreadsheet cannot be opened. Save it as .xlsx or CSV once more.",
    Untrusted.NO_TABLE: "No table was found: no row has a date or time and a number beside it.",
    Untrusted.DELIMITER_BROKEN: "There are {headings} headings, but {cells} cells in most rows ({rows} rows do not fit). A decimal comma between commas does this. Export the file with semicolons or with decimal points.",
    Untrusted.QUOTE_NOT_CLOSED: "A quotation mark that begins at line {line} is not closed.",
    Untrusted.HEADER_SHIFTED: "The heading {heading!r} does not stand over the dates, which are in column {column}. The columns have shifted.",
    Untrusted.HEADER_CHANGES: "Other headings begin at line {line} ({value}). Split the file there.",
    Untrusted.NO_STAMPS: "No column holds dates or times.",
    Untrusted.NO_TIMES: "The dates have no times of day. Export the single readings, not daily figures.",
    Untrusted.NO_QUANTITY: "No column is known to be temperature, humidity or UV index. Say which one is.",
    Untrusted.NO_READINGS: "None of the {rows} rows holds a reading.",
    Untrusted.START_DATE_MISSING: "The rows have times and no dates. Say on which day the first row was recorded.",
    Untrusted.MIXED_DAY_ORDER: "The dates contradict each other: {value} has the day first, {other} the month first. A spreadsheet has rewritten some of them. Use the file as the logger wrote it.",
    Untrusted.MIXED_DATE_FORMS: "The dates are written in two forms (numbers {value} and {other}). A spreadsheet has rewritten some of them. Use the file as the logger wrote it.",
    Untrusted.DAY_ORDER_IMPOSSIBLE: "The date {value} is not possible in the order {order}. The column is only possible as {possible}.",
    Untrusted.DECIMAL_MARKS_MIXED: "{points} numbers have a decimal point and {commas} a decimal comma (such as that of {value}). Use the file as the logger wrote it.",
    Untrusted.DECIMALS_LOST: "The decimals are lost: {rows} of {of} numbers in {column!r} are too large and have none (up to {value}), but would make sense divided by ten. Nothing was taken. Use the file as the logger wrote it.",
    Untrusted.MOSTLY_REFUSED: "{refused} of {of} {what} cannot be read. The commonest reason: {example}",
    Untrusted.NOT_ADVANCING: "The stamps stand still: {rows} rows have {instants} different instants, and rows of the same one ({value}) contradict each other. Seconds, minutes or the halves of the day have been cut off.",
    Untrusted.MAPPING_UNDECIDED: "Still to be decided: {parts}.",
    Untrusted.MAPPING_UNUSABLE: "{part} cannot be {value!r}. Accepted: {accepted}.",
    Untrusted.MAPPING_NOT_FITTING: "The mapping does not fit this file of {columns} columns (see {column}). Let one be proposed for it.",
}  # fmt: skip

NOTED: Named[Noted, str] = {
    Noted.EVENT: "{count} rows hold an event and no reading, the first being {value!r}.",
    Noted.NO_VALUE: "{count} rows hold no value.",
    Noted.MARKED_MISSING: "{count} values in {column!r} say that nothing was measured, such as {value!r}.",
    Noted.DUPLICATE: "{count} rows repeat an instant without contradicting it, and were joined with the first.",
    Noted.HUMIDITY_CAPPED: "{count} values in {column!r} are a little above 100 % (such as {value!r}) and count as 100 %.",
    Noted.UNSORTED: "{count} rows step back in time. The order of rows does not matter.",
    Noted.MIDNIGHT_FILLED: "{count} rows have a date and no time; each is the midnight between its neighbours.",
    Noted.HOUR_TWICE_RESOLVED: "{count} rows lie in the hour that comes twice at the change of the clock; the order of the rows tells them apart.",
    Noted.SITE_ZONE_ASSUMED: "{count} stamps name no time zone and were read as the site's local time.",
}  # fmt: skip

ASKED: Named[Asked, str] = {
    Asked.DAY_ORDER: "Is the day or the month first in {column!r} (such as {value})? All {days} dates are possible as {choices}.",
    Asked.UNIT: "In which unit is {column!r}? Its numbers run from {low} to {high} and nothing says {choices}.",
    Asked.QUANTITY: "Which column is temperature, humidity or UV index? Columns of numbers: {choices}.",
    Asked.CHANNELS: "The file has {count} channels ({choices}). Which probe does each belong to?",
    Asked.STAMP_COLUMN: "Which column is the time of the reading: {choices}?",
    Asked.START_DATE: "On which day was the first row recorded? It says {value!r} and no date.",
    Asked.ZONE: "In which time zone does the logger's clock run?",
}  # fmt: skip


def refusal_sentence(refusal: Refusal) -> str:
    """Return the sentence for one refused row or value, with its line."""
    where = f"Line {refusal.line}"
    if refusal.column:
        where += f", {refusal.column}"
    text = REFUSED[refusal.reason].format_map(
        {**dict(refusal.facts), "value": refusal.value}
    )
    joint = ": " if text[0] in "'{\"" or refusal.value.startswith(text[:1]) else " "
    return f"{where}{joint}{text}.".replace(" )", ")")


def untrusted_sentence(reason: Untrusted, named: Facts) -> str:
    """Return the sentence for a file that is refused whole."""
    known = dict(named)
    column = known.get("column")
    known.setdefault("what", f"values in {column!r}" if column else "rows")
    return UNTRUSTED[reason].format_map(known)


def note_sentence(note: Note) -> str:
    """Return the sentence for one note, with the first lines it is about."""
    text = NOTED[note.noted].format_map({**dict(note.facts), "count": note.count})
    if not note.lines:
        return text
    more = " and more" if note.count > len(note.lines) else ""
    return f"{text} Lines {', '.join(map(str, note.lines))}{more}."


def question_sentence(question: Question) -> str:
    """Return the sentence that asks a person for one thing."""
    known = {
        **dict(question.facts),
        "column": question.column,
        "choices": " or ".join(question.choices),
    }
    known.setdefault("low", "nothing")
    known.setdefault("high", "nothing")
    text = ASKED[question.asked].format_map(known)
    if "low_if_f" in known:
        text += " As °F they would be {low_if_f} to {high_if_f} °C.".format_map(known)
    if not question.blocking:
        text += " If nobody says, the site's local time is taken."
    return text
