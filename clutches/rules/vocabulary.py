"""The room's words. One word for one thing, in code, database, API and screens."""

from enum import StrEnum


class IntroductionOutcome(StrEnum):
    """What became of putting a pair together."""

    MATED = "mated"
    NOT_WATCHED = "not_watched"
    IGNORED = "ignored"
    REFUSED = "refused"
    FOUGHT = "fought"


class ClutchKind(StrEnum):
    """What a female brought forth."""

    EGGS = "eggs"
    LIVE_YOUNG = "live_young"


class LayingSign(StrEnum):
    """What a laying window is counted from."""

    MATED = "mated"
    NOT_WATCHED = "not_watched"
    GRAVID = "gravid"


class SireBasis(StrEnum):
    """Why a male may be the sire."""

    ONLY_MATE = "only_mate"
    MATED_BEFORE = "mated_before"
    STORED_SPERM = "stored_sperm"
    REPORTED = "reported"
    LABORATORY = "laboratory"


class Substrate(StrEnum):
    """What eggs lie in."""

    VERMICULITE = "vermiculite"
    PERLITE = "perlite"
    COCONUT_FIBRE = "coconut_fibre"
    MOSS = "moss"
    SAND = "sand"
    OTHER = "other"


class EggState(StrEnum):
    """How an egg stands."""

    INCUBATING = "incubating"
    PIPPED = "pipped"
    HATCHED = "hatched"
    FAILED = "failed"


class FailureCause(StrEnum):
    """Why an egg failed, as far as it was seen."""

    INFERTILE = "infertile"
    MOULD = "mould"
    COLLAPSED = "collapsed"
    DIED_IN_EGG = "died_in_egg"
    BROKEN = "broken"
    OPENED = "opened"
    UNKNOWN = "unknown"


class Candled(StrEnum):
    """What was seen when an egg was held against a light."""

    VESSELS = "vessels"
    NO_VESSELS = "no_vessels"
    DARK = "dark"
    UNCLEAR = "unclear"


class EggStage(StrEnum):
    """How far an egg is expected to be on a day after laying."""

    DIAPAUSE = "diapause"
    MAY_HAVE_BEGUN = "may_have_begun"
    DEVELOPING = "developing"
    NOT_SAID = "not_said"


class EggDue(StrEnum):
    """What is to be done among eggs, by day."""

    PLACE_EGGS = "place_eggs"
    MIND_PIPPED = "mind_pipped"
    EXPECT_HATCHING = "expect_hatching"
    CANDLE_EGGS = "candle_eggs"
    LOOK_INTO_BOX = "look_into_box"


class PhaseKind(StrEnum):
    """Whether a part of an incubation is to be warm or cool."""

    WARM = "warm"
    COOL = "cool"


class ForecastBasis(StrEnum):
    """What a hatch forecast rests on."""

    PUBLISHED_RATE = "published_rate"
    OWN_CLUTCHES = "own_clutches"
    PROFILE_WINDOW = "profile_window"


class Heel(StrEnum):
    """What was seen at the heel of one hind foot."""

    PRESENT = "present"
    ABSENT = "absent"
    UNCLEAR = "unclear"


class AgainstPairing(StrEnum):
    """A reason against a pair."""

    RELATED = "related"
    TOO_YOUNG = "too_young"
    AGE_UNKNOWN = "age_unknown"
    TOO_LIGHT = "too_light"
    NOT_WEIGHED = "not_weighed"
    NOT_RESTED = "not_rested"
    TOO_MANY_CLUTCHES = "too_many_clutches"
    GRAVID = "gravid"
    OUT_OF_SEASON = "out_of_season"
    SEX_NOT_CONFIRMED = "sex_not_confirmed"
    IN_QUARANTINE = "in_quarantine"
    UNWELL = "unwell"
