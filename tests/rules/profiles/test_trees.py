"""Which YAML is let in at all."""

import pytest
import yaml

from husbandry.rules.profiles.problems import Problem, ProfileErrors
from husbandry.rules.profiles.reading import read_profile
from husbandry.rules.profiles.trees import MAX_BYTES, read_tree

# Each line refers nine times to the one before: 9⁹ texts, were it let in.
LAUGHTER = "a: &a [ha, ha, ha, ha, ha, ha, ha, ha, ha]\n" + "".join(
    f"{chr(98 + i)}: &{chr(98 + i)} [{', '.join([f'*{chr(97 + i)}'] * 9)}]\n"
    for i in range(8)
)


def refused(text: str) -> tuple[Problem, ...]:
    root, problems = read_tree(text)
    assert root is None
    return problems


def test_plain_yaml_becomes_a_tree() -> None:
    root, problems = read_tree("a: 1\nb: [x, y]\n")

    assert isinstance(root, yaml.MappingNode)
    assert problems == ()


def test_aliases_are_refused_before_they_grow() -> None:
    problems = refused(LAUGHTER)

    assert problems[0].sentence == "The anchor &a is not taken; write the value out."
    assert (problems[1].line, problems[1].column) == (2, 4)
    assert "The alias *a is not taken" in problems[2].sentence


@pytest.mark.parametrize(
    ("text", "line", "column", "sentence"),
    [
        ("", 1, 1, "The file is empty"),
        ("\n  \n", 1, 1, "The file is empty"),
        ("# nothing\n", 1, 1, "The file is empty"),
        ("a: !!python/object:os.system x\n", 1, 4, "The tag"),
        ("a: !!int '3'\n", 1, 4, "The tag"),
        ("a: 1\n---\nb: 2\n", 2, 1, "A second document begins"),
        ("a: 1\nb: [1, 2\nc: 3\n", 3, 2, "This is not YAML"),
        ("a: 1\n\tb: 2\n", 2, 1, "This is not YAML"),
        ("a: 'open\n", 2, 1, "This is not YAML"),
        ("a: b: c\n", 1, 5, "This is not YAML"),
        ("a: x\x00y\n", 1, 5, "The character U+0000 cannot be part"),
        ("a: 1\nb: \ud800\n", 2, 4, "The character U+D800 cannot be part"),
        ("a: \x1b[31m\n", 1, 4, "The character U+001B"),
        ("a: 1\nb: \ufeff\n", 2, 4, "The character U+FEFF"),
        ("[" * 9 + "]" * 9, 1, 9, "Nested more than 8 deep"),
        ("[" * 100_000, 1, 9, "Nested more than 8 deep"),
    ],
)
def test_what_is_no_profile_is_refused(
    text: str, line: int, column: int, sentence: str
) -> None:
    first = refused(text)[0]

    assert (first.line, first.column) == (line, column)
    assert sentence in first.sentence


def test_file_of_the_greatest_size_is_let_in_and_one_byte_more_is_not() -> None:
    fits = "a: '" + "x" * (MAX_BYTES - 5) + "'"

    root, _ = read_tree(fits)

    assert root is not None
    assert refused(fits + "\n") == (
        Problem(
            1,
            1,
            "",
            "The file has 262,145 bytes; a care profile has at most 262,144.",
        ),
    )


def test_size_is_counted_in_bytes() -> None:
    assert "bytes; a care profile" in refused("ü" * (MAX_BYTES // 2 + 1))[0].sentence


@pytest.mark.parametrize("text", ["- a\n", "only words\n", "12\n"])
def test_text_that_is_no_mapping_is_no_profile(text: str) -> None:
    with pytest.raises(ProfileErrors, match="made of key: value pairs"):
        read_profile(text, name="list.yaml")
