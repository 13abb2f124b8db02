"""The page of words has every word that is stored, sent or shown."""

import re
from enum import StrEnum
from pathlib import Path
from types import ModuleType

import pytest
from django.conf import settings

import clutches.rules.vocabulary
import core.notice_words
import husbandry.rules.profiles.vocabulary
import husbandry.rules.vocabulary
import placements.rules.vocabulary

PAGE = (Path(settings.BASE_DIR) / "docs" / "glossary.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| (?!word \||-)(.+?) \| (.+?) \|$", PAGE, re.MULTILINE)


@pytest.mark.parametrize(
    "module",
    [
        husbandry.rules.vocabulary,
        husbandry.rules.profiles.vocabulary,
        clutches.rules.vocabulary,
        placements.rules.vocabulary,
        core.notice_words,
    ],
    ids=lambda m: m.__name__,
)
def test_every_word_of_a_vocabulary_is_explained(module: ModuleType) -> None:
    explained = {word for words, _ in ROWS for word in re.findall(r"`([^`]+)`", words)}
    explained |= set(re.findall(r"so is `([a-z_]+)`", PAGE))

    for vocabulary in vars(module).values():
        if isinstance(vocabulary, type) and issubclass(vocabulary, StrEnum):
            missing = {word.value for word in vocabulary} - explained
            assert missing == set(), f"docs/glossary.md does not explain {missing}"


def test_every_word_is_explained_in_one_plain_sentence() -> None:
    assert len(ROWS) > 100
    for words, sentence in ROWS:
        assert sentence.endswith("."), words
        assert sentence[0].isupper(), words
        assert ". " not in sentence, words
