"""What breeding adds to the nightly review of a site."""

from husbandry.actions.night_parts import Night, NightPart
from husbandry.rules.night.parts import PartAssessment


def judge_clutches(night: Night) -> NightPart:
    """Judge eggs, gravid females and hatchlings of one site's night."""
    del night
    return NightPart(PartAssessment())
