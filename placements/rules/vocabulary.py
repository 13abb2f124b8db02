"""The room's words."""

from enum import StrEnum


class IntakeSource(StrEnum):
    """In what way an animal came into care."""

    SURRENDER = "surrender"
    STRAY = "stray"
    SEIZURE = "seizure"
    TRANSFER_IN = "transfer_in"
    BOUGHT = "bought"
    LENT_TO_US = "lent_to_us"
    RETURN = "return"
    BORN_HERE = "born_here"


class IntakeCondition(StrEnum):
    """What can be expected of an animal when it comes, as far as can be told."""

    HEALTHY = "healthy"
    REHABILITATABLE = "rehabilitatable"
    MANAGEABLE = "manageable"
    UNTREATABLE = "untreatable"
    NOT_JUDGED = "not_judged"


class ChipScan(StrEnum):
    """How the search for a microchip came out."""

    READ = "read"
    NONE_FOUND = "none_found"
    NOT_SCANNED = "not_scanned"


class BodySystem(StrEnum):
    """A part of an exam, from the outside in."""

    ALERTNESS = "alertness"
    BODY_CONDITION = "body_condition"
    SKIN = "skin"
    EYES = "eyes"
    MOUTH = "mouth"
    BREATHING = "breathing"
    LIMBS_AND_SPINE = "limbs_and_spine"
    TAIL_AND_TOES = "tail_and_toes"
    BELLY = "belly"
    VENT = "vent"
    PARASITES = "parasites"


class ExamOutcome(StrEnum):
    """What was seen at one part of an exam."""

    NOTHING_UNUSUAL = "nothing_unusual"
    UNUSUAL = "unusual"
    NOT_LOOKED_AT = "not_looked_at"


class Criterion(StrEnum):
    """What has to be so before quarantine may end."""

    DAYS = "days"
    TESTS = "tests"
    WEIGHT = "weight"
    HEALTH = "health"


class PaperKind(StrEnum):
    """What a paper about an animal, or about keeping its species, is."""

    CITES_PERMIT = "cites_permit"
    CITES_CERTIFICATE = "cites_certificate"
    ORIGIN_STATEMENT = "origin_statement"
    KEEPING_PERMIT = "keeping_permit"
    TRADE_LICENCE = "trade_licence"
    RELEASE_PERMIT = "release_permit"
    VET_CERTIFICATE = "vet_certificate"
    OWNERSHIP = "ownership"
    OTHER = "other"


class CitesSource(StrEnum):
    """The source codes of CITES permits (Resolution Conf. 12.3)."""

    WILD = "W"
    RANCHED = "R"
    APPENDIX_I_BRED_FOR_TRADE = "D"
    ARTIFICIALLY_PROPAGATED = "A"
    BRED_IN_CAPTIVITY = "C"
    BORN_IN_CAPTIVITY = "F"
    UNKNOWN = "U"
    CONFISCATED = "I"
    PRE_CONVENTION = "O"
    MARINE = "X"
    ASSISTED_PRODUCTION = "Y"


class HomeKind(StrEnum):
    """What a home is."""

    HOUSEHOLD = "household"
    ORGANISATION = "organisation"
    AUTHORITY = "authority"


class UnitSystem(StrEnum):
    """In which units a home reads its papers first."""

    METRIC = "metric"
    IMPERIAL = "imperial"


class Paper(StrEnum):
    """On what a home's papers are printed."""

    A4 = "a4"
    LETTER = "letter"


class ApplicationState(StrEnum):
    """How far a request for an animal has come."""

    RECEIVED = "received"
    CHECKING = "checking"
    ACCEPTED = "accepted"
    WAITING = "waiting"
    PLACED = "placed"
    DECLINED = "declined"
    WITHDRAWN = "withdrawn"


class CheckKind(StrEnum):
    """What is looked into before an application is accepted."""

    REFERENCES = "references"
    LANDLORD = "landlord"
    OTHER_ANIMALS = "other_animals"
    PEOPLE_AT_RISK = "people_at_risk"
    VET_NEARBY = "vet_nearby"
    LOCAL_LAW = "local_law"
    HOME_READY = "home_ready"


class CheckOutcome(StrEnum):
    """How a check came out."""

    OPEN = "open"
    PASSED = "passed"
    FAILED = "failed"
    NOT_NEEDED = "not_needed"


class UvbLamp(StrEnum):
    """What a home's enclosure has for UVB light."""

    LINEAR_T5 = "linear_t5"
    LINEAR_T8 = "linear_t8"
    COMPACT = "compact"
    OTHER = "other"
    NONE = "none"


class ReadinessMatter(StrEnum):
    """One thing that a home's enclosure is compared with."""

    SIZE = "size"
    LIGHT_HOURS = "light_hours"
    UVB_LAMP = "uvb_lamp"
    CLIMATE = "climate"
    LAYING_BIN = "laying_bin"
    COMPANY = "company"
    SIGHT = "sight"


class Readiness(StrEnum):
    """How one thing of a home's enclosure compares; silence is not readiness."""

    AS_WANTED = "as_wanted"
    NOT_AS_WANTED = "not_as_wanted"
    NOT_KNOWN = "not_known"


class PlacementKind(StrEnum):
    """In what way an animal goes to its new home."""

    ADOPTION = "adoption"
    SALE = "sale"
    TRANSFER = "transfer"
    LOAN = "loan"
    FOSTER = "foster"
    RELEASE = "release"


# The animal stays the organisation's own, and is due back.
STAYS_OURS = frozenset({PlacementKind.LOAN, PlacementKind.FOSTER})


class PlacementState(StrEnum):
    """How far a placement has come."""

    PLANNED = "planned"
    HANDED_OVER = "handed_over"
    CALLED_OFF = "called_off"
    CAME_BACK = "came_back"
    MADE_LASTING = "made_lasting"
    DIED_THERE = "died_there"


# The allowed moves; drawn into the docs.
MOVES: dict[PlacementState, tuple[PlacementState, ...]] = {
    PlacementState.PLANNED: (PlacementState.HANDED_OVER, PlacementState.CALLED_OFF),
    PlacementState.HANDED_OVER: (
        PlacementState.CAME_BACK,
        PlacementState.MADE_LASTING,
        PlacementState.DIED_THERE,
    ),
    PlacementState.CALLED_OFF: (),
    PlacementState.CAME_BACK: (),
    PlacementState.MADE_LASTING: (),
    PlacementState.DIED_THERE: (),
}

APPLICATION_MOVES: dict[ApplicationState, tuple[ApplicationState, ...]] = {
    ApplicationState.RECEIVED: (
        ApplicationState.CHECKING,
        ApplicationState.DECLINED,
        ApplicationState.WITHDRAWN,
    ),
    ApplicationState.CHECKING: (
        ApplicationState.ACCEPTED,
        ApplicationState.DECLINED,
        ApplicationState.WITHDRAWN,
    ),
    ApplicationState.ACCEPTED: (
        ApplicationState.WAITING,
        ApplicationState.PLACED,
        ApplicationState.DECLINED,
        ApplicationState.WITHDRAWN,
    ),
    ApplicationState.WAITING: (
        ApplicationState.ACCEPTED,
        ApplicationState.PLACED,
        ApplicationState.DECLINED,
        ApplicationState.WITHDRAWN,
    ),
    ApplicationState.PLACED: (ApplicationState.ACCEPTED,),
    ApplicationState.DECLINED: (),
    ApplicationState.WITHDRAWN: (),
}


class Gate(StrEnum):
    """What an animal has to pass before it leaves."""

    QUARANTINE_OVER = "quarantine_over"
    NOTHING_URGENT = "nothing_urgent"
    SEX_CHECKED = "sex_checked"
    TREATMENT_HANDED_OVER = "treatment_handed_over"
    OLD_ENOUGH = "old_enough"
    HEAVY_ENOUGH = "heavy_enough"
    HOLD_OVER = "hold_over"
    PAPERS_THERE = "papers_there"
    APPLICATION_ACCEPTED = "application_accepted"
    HOME_READY = "home_ready"
    PACKET_MADE = "packet_made"
    NATIVE_SPECIES = "native_species"
    RELEASE_PERMITTED = "release_permitted"


class GateState(StrEnum):
    """Whether a gate lets an animal pass."""

    OPEN = "open"
    SHUT = "shut"
    OPENED = "opened"
    NOT_ASKED = "not_asked"


class SexNeed(StrEnum):
    """How well the sex has to be known before an animal leaves."""

    NOT_NEEDED = "not_needed"
    LIKELY = "likely"
    CONFIRMED = "confirmed"


class JobState(StrEnum):
    """How far the drawing of a packet has come."""

    WAITING = "waiting"
    DRAWING = "drawing"
    DONE = "done"
    FAILED = "failed"


class FollowUpKind(StrEnum):
    """How long after an animal left somebody asks how it is doing."""

    TWO_WEEKS = "two_weeks"
    THREE_MONTHS = "three_months"
    TWELVE_MONTHS = "twelve_months"


class HomeReportKind(StrEnum):
    """What a home tells of an animal that lives there."""

    WEIGHT = "weight"
    EGGS = "eggs"
    HEALTH = "health"
    DEATH = "death"
    NOTE = "note"


class Direction(StrEnum):
    """Whether a line of the register is about coming or leaving."""

    CAME = "came"
    LEFT = "left"


class RegisterHow(StrEnum):
    """In what way an animal came or left, as the register says it."""

    SURRENDER = "surrender"
    STRAY = "stray"
    SEIZURE = "seizure"
    TRANSFER_IN = "transfer_in"
    BOUGHT = "bought"
    LENT_TO_US = "lent_to_us"
    RETURN = "return"
    BORN_HERE = "born_here"
    FOUND_AGAIN = "found_again"
    NOT_SAID = "not_said"
    ADOPTION = "adoption"
    SALE = "sale"
    TRANSFER = "transfer"
    LOAN = "loan"
    FOSTER = "foster"
    RELEASE = "release"
    DEATH = "death"
    PUT_TO_SLEEP = "put_to_sleep"
    LOSS = "loss"
