"""What of a text cannot be kept."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from placements.rules.applications.texts import problem_with, tidy


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("", ""),
        ("  a  ", "a"),
        ("a\r\nb\rc", "a\nb\nc"),
        ("\n a\n", "a"),
    ],
)
def test_tidy(text: str, kept: str) -> None:
    assert tidy(text) == kept


@pytest.mark.parametrize(
    "text",
    [
        "",
        "Ärzte, naïve, 中文, ع, עברית, हिन्दी",
        "two\nlines\tand a tab",
        "👩‍👩‍👧 with a joiner; می‌خواهم",
        "a" * 10,
    ],
)
def test_ordinary_texts_of_any_script_are_kept(text: str) -> None:
    assert problem_with(text, longest=1_000) == ""


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("a\x00b", "Character 2 is U+0000, which cannot be seen."),
        ("\u202eevil", "Character 1 is U+202E (right-to-left override)"),
        ("ab\u200f", "Character 3 is U+200F (right-to-left mark)"),
        ("\u2066a\u2069", "Character 1 is U+2066 (left-to-right isolate)"),
        ("\x1b[31m", "Character 1 is U+001B"),
        ("\ud800", "Character 1 is U+D800"),
        ("\ufffe", "Character 1 is U+FFFE"),
        ("\U0001ffff", "Character 1 is U+1FFFF"),
        ("\ue000", "Character 1 is U+E000"),
    ],
)
def test_what_cannot_be_seen_is_told(text: str, told: str) -> None:
    assert problem_with(text, longest=1_000).startswith(told)


def test_how_long_a_text_may_be() -> None:
    long = "This has 10,000,000 characters; up to 3 are kept."

    assert problem_with("abc", longest=3) == ""
    assert problem_with("abcd", longest=3).startswith("This has 4 characters;")
    assert problem_with("a" * 10_000_000, longest=3) == long


@given(st.text(alphabet=st.characters(categories=("L", "M", "N", "P", "Zs"))))
def test_letters_marks_and_numbers_are_never_refused(text: str) -> None:
    assert problem_with(text, longest=len(text)) == ""
