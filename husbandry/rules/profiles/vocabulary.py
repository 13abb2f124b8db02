"""The words that only a care profile uses."""

from enum import StrEnum


class SourceKind(StrEnum):
    """What sort of thing a source is, so that a reader can weigh it."""

    PAPER = "paper"
    BOOK = "book"
    VETERINARY_SHEET = "veterinary_sheet"
    REFERENCE_SITE = "reference_site"
    WEAK_WEB_PAGE = "weak_web_page"
    STANDARD = "standard"
    LAW = "law"
    PRACTICE = "practice"
    CONVENTION = "convention"
    MEMORY = "memory"


class FeederUse(StrEnum):
    """What a feeder animal is good for."""

    STAPLE = "staple"
    TREAT = "treat"
    NEVER = "never"


class SupplementWhen(StrEnum):
    """On which feedings a supplement is given."""

    EVERY_FEEDING = "every_feeding"
    MONTH_DAYS = "month_days"


class IncubationMatter(StrEnum):
    """A figure about eggs and clutches, with its unit in the name."""

    HATCH_DAYS = "hatch_days"
    DIAPAUSE_DAYS = "diapause_days"
    FERTILITY_JUDGED_FROM_DAYS = "fertility_judged_from_days"
    CLUTCH_EGGS = "clutch_eggs"
    MATING_TO_LAYING_DAYS = "mating_to_laying_days"
    LAYING_TO_NEXT_CLUTCH_DAYS = "laying_to_next_clutch_days"
    LAYING_STOPPED_HOURS = "laying_stopped_hours"
    HATCHLING_MASS_G = "hatchling_mass_g"
    EGG_MASS_G = "egg_mass_g"
    EGG_CHECK_EVERY_DAYS = "egg_check_every_days"
    GESTATION_DAYS = "gestation_days"
    BREEDING_AGE_FEMALE_DAYS = "breeding_age_female_days"
    BREEDING_AGE_MALE_DAYS = "breeding_age_male_days"
    BREEDING_MASS_FEMALE_G = "breeding_mass_female_g"
    REST_BETWEEN_CLUTCHES_DAYS = "rest_between_clutches_days"
    CLUTCHES_A_YEAR = "clutches_a_year"
    STORED_SPERM_DAYS = "stored_sperm_days"
    DEVELOPMENT_ZERO_C = "development_zero_c"
    DEVELOPMENT_DEGREE_DAYS = "development_degree_days"


class SexMark(StrEnum):
    """By what a hatchling can be sexed."""

    HEEL_SPUR = "heel_spur"
    NONE = "none"


class CareTopic(StrEnum):
    """What a care note is about; packets group notes by it."""

    ENCLOSURE = "enclosure"
    COVER = "cover"
    PLANTS = "plants"
    HEAT = "heat"
    LIGHT = "light"
    WATER = "water"
    FOOD = "food"
    SUPPLEMENTS = "supplements"
    CONDITION = "condition"
    SEXING = "sexing"
    EGGS = "eggs"
    COMPANY = "company"
    NEW_HOME = "new_home"
