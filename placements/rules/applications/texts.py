"""What of a text that strangers send cannot be kept, in plain words."""

import unicodedata

# Marks that turn the direction of what follows: with them a text looks like another.
_DIRECTIONS = {0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)}
_LAYOUT = {"\n", "\t"}
_NONCHARACTERS = 0xFFFE


def tidy(text: str) -> str:
    """Return a text as it is kept: without spaces around it, lines ending in one way."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def problem_with(text: str, *, longest: int) -> str:
    """Say what is wrong with a text; nothing where it can be kept.

    Args:
        text: as `tidy` returns it.
        longest: most characters that are kept.

    Returns:
        A sentence that says what is wrong and what would be accepted, or "".

    Source:
        House rule: marks that cannot be seen are refused, for staff would read
        another text than the one that is on record.
    """
    if len(text) > longest:
        return f"This has {len(text):,} characters; up to {longest:,} are kept."
    for place, char in enumerate(text, start=1):
        if _is_odd(char):
            return (
                f"Character {place} is {_name(char)}, which cannot be seen. Pasted "
                "text brings such characters along; delete it, or type the text anew."
            )
    return ""


def _is_odd(char: str) -> bool:
    if char in _LAYOUT:
        return False
    code = ord(char)
    no_character = code & _NONCHARACTERS == _NONCHARACTERS
    unseen = unicodedata.category(char) in {"Cc", "Cs", "Co"}
    return unseen or no_character or code in _DIRECTIONS


def _name(char: str) -> str:
    code = f"U+{ord(char):04X}"
    name = unicodedata.name(char, "")
    return f"{code} ({name.lower()})" if name else code
