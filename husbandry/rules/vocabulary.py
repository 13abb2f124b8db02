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
    RELEASED = "released"
    ELSEWHERE = "elsewhere"


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
    GROWTH_BEHIND = "growth_behind"
    FEEDING_MISSED = "feeding_missed"
    FOOD_REFUSED = "food_refused"
    SUPPLEMENT_MISSED = "supplement_missed"
    TOO_MUCH_D3 = "too_much_d3"
    GUT_LOAD_MISSED = "gut_load_missed"
    MISTING_MISSED = "misting_missed"
    UV_CHECK_OVERDUE = "uv_check_overdue"
    LAMP_WORN = "lamp_worn"
    FOLLOW_UP_OVERDUE = "follow_up_overdue"
    CARE_UNRECORDED = "care_unrecorded"
    SIGN_SEEN = "sign_seen"
    LAYING_TROUBLE = "laying_trouble"
    DOSE_MISSED = "dose_missed"
    DOSE_UNSAFE = "dose_unsafe"
    TEST_OVERDUE = "test_overdue"
    TEST_FOUND = "test_found"
    EGGS_TOO_WARM = "eggs_too_warm"
    EGGS_TOO_COOL = "eggs_too_cool"
    EGGS_UNMEASURED = "eggs_unmeasured"
    EGGS_UNPLACED = "eggs_unplaced"
    BOX_UNCHECKED = "box_unchecked"
    HATCH_DUE = "hatch_due"
    HATCH_OVERDUE = "hatch_overdue"
    LAYING_OVERDUE = "laying_overdue"
    SPUR_LOOK_DUE = "spur_look_due"
    QUARANTINE_BROKEN = "quarantine_broken"
    QUARANTINE_READY = "quarantine_ready"
    PAPER_EXPIRING = "paper_expiring"
    SPECIES_UNSURE = "species_unsure"
    DUE_BACK = "due_back"
    PLACEMENT_STUCK = "placement_stuck"
    HOME_UNHEARD = "home_unheard"
    HOME_REPORT = "home_report"


class ReviewState(StrEnum):
    """How a night's review stands."""

    RUNNING = "running"
    DONE = "done"
    PARTIAL = "partial"
    FAILED = "failed"


class UnclaimedState(StrEnum):
    """What became of readings under a code that no probe had."""

    WAITING = "waiting"
    CLAIMED = "claimed"
    DISCARDED = "discarded"


class RowOutcome(StrEnum):
    """What became of one line of a list that was sent in."""

    STORED = "stored"
    KNOWN = "known"
    REFUSED = "refused"


class TaskKind(StrEnum):
    """What a care task asks to be done."""

    FEED = "feed"
    GUT_LOAD = "gut_load"
    MIST = "mist"
    WEIGH = "weigh"
    UV_CHECK = "uv_check"
    LAMP_CHANGE = "lamp_change"
    DOSE = "dose"
    FOLLOW_UP = "follow_up"
    TEST_RESULT = "test_result"
    WATCH = "watch"


class FeedingOrderKind(StrEnum):
    """What was agreed about one animal's food instead of its profile's rule."""

    FAST = "fast"
    ASSIST = "assist"
    RHYTHM = "rhythm"


class ObservationKind(StrEnum):
    """What somebody saw of an animal."""

    SIGN = "sign"
    SHED = "shed"
    DROPPINGS = "droppings"
    DIGGING = "digging"
    LAYING = "laying"
    ALERTNESS = "alertness"
    CONDITION = "condition"
    NOTE = "note"


class Observed(StrEnum):
    """How it was seen; which words go with which kind stands in `observations`."""

    PRESENT = "present"
    GONE = "gone"
    WHOLE = "whole"
    IN_PATCHES = "in_patches"
    STUCK = "stuck"
    FORMED = "formed"
    LOOSE = "loose"
    BLOODY = "bloody"
    BEGUN = "begun"
    STOPPED = "stopped"
    FINISHED = "finished"
    BRIGHT = "bright"
    WEAK = "weak"
    LEAN = "lean"
    GOOD = "good"
    HEAVY = "heavy"


class Urates(StrEnum):
    """The colour of the urates among droppings."""

    WHITE = "white"
    YELLOWISH = "yellowish"
    ORANGE = "orange"


class ChoreKind(StrEnum):
    """What was done for an enclosure or a room."""

    CLEANING = "cleaning"
    MISTING = "misting"
    GUT_LOADING = "gut_loading"


class Misting(StrEnum):
    """Who mists an enclosure."""

    BY_HAND = "by_hand"
    BY_TIMER = "by_timer"


class MistingTime(StrEnum):
    """When an enclosure is misted, by its lights."""

    BEFORE_LIGHTS_ON = "before_lights_on"
    AFTER_LIGHTS_OFF = "after_lights_off"


class LampKind(StrEnum):
    """What a lamp is for."""

    UVB_TUBE = "uvb_tube"
    HEAT = "heat"


class Route(StrEnum):
    """How a medicine is given."""

    BY_MOUTH = "by_mouth"
    UNDER_THE_SKIN = "under_the_skin"
    INTO_MUSCLE = "into_muscle"
    INTO_BODY_CAVITY = "into_body_cavity"
    INTO_VEIN = "into_vein"
    ON_THE_SKIN = "on_the_skin"
    IN_THE_EYE = "in_the_eye"


class DoseUnit(StrEnum):
    """What a prescription gives for each kilogram."""

    MG_PER_KG = "mg_per_kg"
    ML_PER_KG = "ml_per_kg"


class DoseOutcome(StrEnum):
    """What became of a dose that was due."""

    GIVEN = "given"
    NOT_GIVEN = "not_given"


class HealthTestKind(StrEnum):
    """What was tested."""

    FAECAL = "faecal"
    BLOOD = "blood"
    SWAB = "swab"
    IMAGING = "imaging"
    OTHER = "other"


class HealthTestResult(StrEnum):
    """How a test came out."""

    AWAITED = "awaited"
    NOTHING_FOUND = "nothing_found"
    FOUND = "found"


class RoundNoteKind(StrEnum):
    """What to mind at an animal before the hands go in."""

    SETTLING_IN = "settling_in"
    GRAVID = "gravid"
    QUARANTINE = "quarantine"
    FASTING = "fasting"


class GrowthModel(StrEnum):
    """A curve that growth may follow."""

    LOGISTIC = "logistic"
    GOMPERTZ = "gompertz"
    VON_BERTALANFFY = "von_bertalanffy"
    RICHARDS = "richards"
