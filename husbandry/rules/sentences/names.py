"""How zones, quantities and standings are called in a sentence."""

from collections.abc import Sequence

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

CONVENTION = "-convention"
# Sources that say no more than that there is none.
WITHOUT_SOURCE = {
    ("common-practice", Standing.COMMON_PRACTICE): "common practice, no source",
    ("memory", Standing.FROM_MEMORY): "from memory, not verified",
    ("convention", Standing.FROM_MEMORY): "a convention of this program, not measured",
}


def word(source: str, standing: Standing) -> str:
    """Return on whose word something stands: the source and how far it carries.

    Args:
        source: its key.
        standing: what it rests on; not said twice where there is no source.
    """
    if source.endswith(CONVENTION):
        source = CONVENTION.lstrip("-")
    said = WITHOUT_SOURCE.get((source, standing))
    return said or f"{source} ({STANDINGS[standing]})"


def sentence(text: str) -> str:
    """Return a text with a capital first letter, `UV` and codes left alone."""
    return text[:1].upper() + text[1:]


def listed(words: Sequence[str]) -> str:
    """Return words as people list them: `A, B and C`."""
    first, last = words[:-1], words[-1:]
    return " and ".join([", ".join(first), *last] if first else last)
