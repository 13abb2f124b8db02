"""How zones, quantities and standings are called in a sentence."""

from husbandry.rules.vocabulary import Quantity, Standing, Zone

ZONES = {
    Zone.BASKING: "at the basking spot",
    Zone.AMBIENT: "in the enclosure",
    Zone.COOL: "in the cool part",
    Zone.EGGS: "among the eggs",
}
QUANTITIES = {
    Quantity.TEMPERATURE_C: "temperature",
    Quantity.HUMIDITY_PCT: "humidity",
    Quantity.UV_INDEX: "UV index",
}
STANDINGS = {
    Standing.PUBLISHED: "published",
    Standing.COMMON_PRACTICE: "common practice, no source",
    Standing.FROM_MEMORY: "from memory, not verified",
}


def sentence(text: str) -> str:
    """Return a text with a capital first letter, `UV` and codes left alone."""
    return text[:1].upper() + text[1:]
