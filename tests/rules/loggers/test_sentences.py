"""Every code has its sentence, and every sentence its facts."""

from string import Formatter

from husbandry.rules.loggers.remarks import Note
from husbandry.rules.loggers.sentences import (
    ASKED,
    NOTED,
    REFUSED,
    UNTRUSTED,
    note_sentence,
)
from husbandry.rules.loggers.vocabulary import (
    Asked,
    Noted,
    Refused,
    Untrusted,
    facts,
)


def test_every_code_has_a_sentence() -> None:
    assert set(REFUSED) == set(Refused)
    assert set(UNTRUSTED) == set(Untrusted)
    assert set(NOTED) == set(Noted)
    assert set(ASKED) == set(Asked)


def test_every_sentence_is_well_formed() -> None:
    for texts in (REFUSED, UNTRUSTED, NOTED, ASKED):
        for text in texts.values():
            assert all(field != "" for _, field, _, _ in Formatter().parse(text))


def test_note_shows_the_first_lines() -> None:
    short = Note(Noted.NO_VALUE, 2, (3, 4), ())
    long = Note(Noted.EVENT, 30, (3, 4), facts(value="Started"))

    assert note_sentence(short) == "2 rows hold no value. Lines 3, 4."
    assert note_sentence(long) == (
        "30 rows hold an event and no reading, the first being 'Started'. "
        "Lines 3, 4 and more."
    )
