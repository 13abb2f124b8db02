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
