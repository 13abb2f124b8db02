"""The room's words. One word for one thing, in code, database, API and screens."""

from enum import StrEnum


class Sex(StrEnum):
    """The sex of an animal, as far as it is known."""

    FEMALE = "female"
    MALE = "male"
    UNKNOWN = "unknown"


class SexBasis(StrEnum):
    """How the sex is known."""

    HEEL_SPUR = "heel_spur"
    BODY_FORM = "body_form"
    PROBING = "probing"
    LAID_EGGS = "laid_eggs"
    LABORATORY = "laboratory"
    REPORTED = "reported"
    NOT_SEXED = "not_sexed"


class Confidence(StrEnum):
    """How far a statement can be relied on."""

    CONFIRMED = "confirmed"
    LIKELY = "likely"
    UNCERTAIN = "uncertain"


class DatePrecision(StrEnum):
    """How exactly a date is known."""

    DAY = "day"
    MONTH = "month"
    YEAR = "year"
    UNKNOWN = "unknown"


class Origin(StrEnum):
    """Where an animal comes from."""

    BORN_HERE = "born_here"
    BORN_ELSEWHERE = "born_elsewhere"
    WILD_CAUGHT = "wild_caught"
    SURRENDERED = "surrendered"
    UNKNOWN = "unknown"


class AnimalStatus(StrEnum):
    """Whether an animal is here to be cared for."""

    IN_CARE = "in_care"
    PLACED = "placed"
    DEAD = "dead"
    LOST = "lost"


class Reproduction(StrEnum):
    """The reproductive state that targets may depend on."""

    RESTING = "resting"
    GRAVID = "gravid"


class EnclosureKind(StrEnum):
    """How an enclosure is built."""

    SCREEN = "screen"
    PART_SOLID = "part_solid"
    GLASS = "glass"
    TUB = "tub"
    INCUBATOR = "incubator"


class Lights(StrEnum):
    """What turns day into night in an enclosure."""

    TIMER = "timer"
    NATURAL = "natural"


class Quantity(StrEnum):
    """What is measured, with its unit in the name."""

    TEMPERATURE_C = "temperature_c"
    HUMIDITY_PCT = "humidity_pct"
    UV_INDEX = "uv_index"


class Zone(StrEnum):
    """A spot of an enclosure."""

    BASKING = "basking"
    AMBIENT = "ambient"
    COOL = "cool"
    EGGS = "eggs"


class Period(StrEnum):
    """Part of a day, by the enclosure's lights."""

    DAY = "day"
    NIGHT = "night"


class Standing(StrEnum):
    """What a value rests on."""

    PUBLISHED = "published"
    COMMON_PRACTICE = "common_practice"
    FROM_MEMORY = "from_memory"


class Urgency(StrEnum):
    """How soon somebody must act."""

    NOW = "now"
    TODAY = "today"
    WATCH = "watch"


class FindingKind(StrEnum):
    """What can be wrong in the morning."""

    ABOVE_TARGET = "above_target"
    BELOW_TARGET = "below_target"
    NO_DATA = "no_data"
    STUCK_PROBE = "stuck_probe"
    IMPOSSIBLE_VALUES = "impossible_values"
    UNMEASURED_TARGET = "unmeasured_target"
    LIGHT_HOURS = "light_hours"
    WEIGHT_LOSS = "weight_loss"
    GROWTH_STALLED = "growth_stalled"
    WEIGHT_OUT_OF_BAND = "weight_out_of_band"
    WEIGHING_OVERDUE = "weighing_overdue"
    NO_ENCLOSURE = "no_enclosure"
    ENCLOSURE_TOO_SMALL = "enclosure_too_small"
    NO_LAYING_BIN = "no_laying_bin"
    SHARED_ENCLOSURE = "shared_enclosure"
    IN_SIGHT = "in_sight"
    NO_PROFILE = "no_profile"
    STAGE_UNKNOWN = "stage_unknown"
    NOT_REVIEWED = "not_reviewed"


class ReviewState(StrEnum):
    """How a night's review stands."""

    RUNNING = "running"
    DONE = "done"
    PARTIAL = "partial"
    FAILED = "failed"


class RowOutcome(StrEnum):
    """What became of one line of a list that was sent in."""

    STORED = "stored"
    KNOWN = "known"
    REFUSED = "refused"
