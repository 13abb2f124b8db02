"""The words of reading a logger's file: forms, reasons, notes and questions."""

from enum import StrEnum

MISSING = -(2**31)
"""Stands in an int32 column where nothing was measured."""

Facts = tuple[tuple[str, str], ...]
"""Named facts of a refusal, a note or a question, as texts."""


def facts(**named: object) -> Facts:
    """Return named facts as a tuple, each value as its text."""
    return tuple((name, str(value)) for name, value in named.items())


class DayOrder(StrEnum):
    """In which order day, month and year are written."""

    DMY = "dmy"
    MDY = "mdy"
    YMD = "ymd"
    PLAIN = "plain"
    """Nothing to decide: year first, month by name, or a count of seconds or days."""


class ClockForm(StrEnum):
    """How a file writes an instant."""

    TEXT = "text"
    TIME_ONLY = "time_only"
    EPOCH_S = "epoch_s"
    EPOCH_MS = "epoch_ms"
    SERIAL = "serial"
    """Days since 30 December 1899 with a fraction, as spreadsheets count."""


class Unit(StrEnum):
    """The unit that a column is written in."""

    C = "C"
    F = "F"
    PERCENT = "%"
    FRACTION = "fraction"
    INDEX = "index"


class Refused(StrEnum):
    """Why a row, or one value of it, is not taken."""

    TOO_MANY_FIELDS = "too_many_fields"
    TOO_FEW_FIELDS = "too_few_fields"
    STAMP_MISSING = "stamp_missing"
    STAMP_UNREADABLE = "stamp_unreadable"
    DATE_FORM_DIFFERS = "date_form_differs"
    DATE_IMPOSSIBLE = "date_impossible"
    TIME_MISSING = "time_missing"
    TIME_STEPS_BACK = "time_steps_back"
    LOCAL_TIME_SKIPPED = "local_time_skipped"
    LOCAL_TIME_TWICE = "local_time_twice"
    IN_FUTURE = "in_future"
    TOO_EARLY = "too_early"
    CHANNEL_MISSING = "channel_missing"
    NOT_A_NUMBER = "not_a_number"
    UNIT_DIFFERS = "unit_differs"
    OUT_OF_RANGE = "out_of_range"
    CONFLICTING = "conflicting"


class Noted(StrEnum):
    """What is worth knowing about rows that were not refused."""

    EVENT = "event"
    NO_VALUE = "no_value"
    MARKED_MISSING = "marked_missing"
    DUPLICATE = "duplicate"
    HUMIDITY_CAPPED = "humidity_capped"
    UNSORTED = "unsorted"
    MIDNIGHT_FILLED = "midnight_filled"
    HOUR_TWICE_RESOLVED = "hour_twice_resolved"
    SITE_ZONE_ASSUMED = "site_zone_assumed"


class Untrusted(StrEnum):
    """Why a whole file is refused."""

    EMPTY = "empty"
    TOO_LARGE = "too_large"
    NOT_TEXT = "not_text"
    ENCODING_WRONG = "encoding_wrong"
    SPREADSHEET_OLD = "spreadsheet_old"
    SPREADSHEET_UNREADABLE = "spreadsheet_unreadable"
    NO_TABLE = "no_table"
    DELIMITER_BROKEN = "delimiter_broken"
    QUOTE_NOT_CLOSED = "quote_not_closed"
    HEADER_SHIFTED = "header_shifted"
    HEADER_CHANGES = "header_changes"
    NO_STAMPS = "no_stamps"
    NO_TIMES = "no_times"
    NO_QUANTITY = "no_quantity"
    NO_READINGS = "no_readings"
    START_DATE_MISSING = "start_date_missing"
    MIXED_DAY_ORDER = "mixed_day_order"
    MIXED_DATE_FORMS = "mixed_date_forms"
    DAY_ORDER_IMPOSSIBLE = "day_order_impossible"
    DECIMAL_MARKS_MIXED = "decimal_marks_mixed"
    DECIMALS_LOST = "decimals_lost"
    MOSTLY_REFUSED = "mostly_refused"
    NOT_ADVANCING = "not_advancing"
    MAPPING_UNDECIDED = "mapping_undecided"
    MAPPING_UNUSABLE = "mapping_unusable"
    MAPPING_NOT_FITTING = "mapping_not_fitting"


class Asked(StrEnum):
    """What a person has to say, because the file does not."""

    DAY_ORDER = "day_order"
    UNIT = "unit"
    QUANTITY = "quantity"
    CHANNELS = "channels"
    STAMP_COLUMN = "stamp_column"
    START_DATE = "start_date"
    ZONE = "zone"


class Why(StrEnum):
    """What a proposed column rests on."""

    HEADER = "header"
    CONTENT = "content"
    SAVED = "saved"
