"""Why one matter of a home's enclosure is judged as it is."""

from enum import StrEnum


class Why(StrEnum):
    """The reason behind a judgement."""

    AS_WANTED = "as_wanted"
    TOO_SMALL = "too_small"
    LIGHT_HOURS = "light_hours"
    NO_LAYING_BIN = "no_laying_bin"
    SHARED = "shared"
    IN_SIGHT = "in_sight"
    OUTSIDE = "outside"
    FEW_DAYS = "few_days"
    NOT_MEASURED = "not_measured"
    STOOD_STILL = "stood_still"
    NOT_SAID = "not_said"
    NO_PROFILE = "no_profile"
    AGE_NOT_KNOWN = "age_not_known"
    SEX_NOT_KNOWN = "sex_not_known"
    NO_LAMP = "no_lamp"
    WRONG_LAMP = "wrong_lamp"
    LAMP_NEEDS_METER = "lamp_needs_meter"
    LAMP_TOO_NEAR = "lamp_too_near"
    LAMP_TOO_FAR = "lamp_too_far"
    MEASURED_OUTSIDE = "measured_outside"
    MEASURED = "measured"
