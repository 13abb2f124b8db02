"""A request is carried out once for its key, whatever happens on the way (ADR 0020).

Expectations are those of draft-ietf-httpapi-idempotency-key-header-07, 2.6 and 2.7.
"""

from dataclasses import replace
from datetime import timedelta

import pytest

from core.answers import (
    KEPT_FOR,
    Answer,
    AnswerWithheldError,
    Caller,
    KeyReusedError,
    RequestRunningError,
    Sent,
    answer_apart,
    answer_once,
    forget_old_answers,
    withhold_all_answers,
)
from core.models import KeptAnswer, Organisation
from core.roles import Role
from tests.factories import NOW, KeptAnswerFactory, OrganisationFactory, UserFactory

pytestmark = pytest.mark.django_db
ANSWER = Answer(status=201, headers={"ETag": '"1"'}, body=b'{"id": 1}')


class Work:
    """Counts how often it is carried out."""

    def __init__(self, answer: Answer | None = ANSWER) -> None:
        self.answer, self.times = answer, 0

    def __call__(self) -> Answer | None:
        self.times += 1
        return self.answer


def _sent() -> Sent:
    return Sent(Caller(UserFactory.create(), "sb_1"), "k", "a" * 64, NOW)


def _refuse() -> Answer:
    OrganisationFactory.create()
    raise LookupError


def test_the_second_time_is_answered_and_not_carried_out() -> None:
    sent, work = _sent(), Work()

    assert answer_once(sent=sent, work=work) is None
    assert answer_once(sent=sent, work=work) == ANSWER

    assert work.times == 1


@pytest.mark.parametrize("other", ["caller", "person", "key"])
def test_another_callers_key_and_another_key_are_others(other: str) -> None:
    sent, work = _sent(), Work()
    answer_once(sent=sent, work=work)
    others = {
        "caller": replace(sent, caller=replace(sent.caller, name="sb_2")),
        "person": replace(sent, caller=Caller(UserFactory.create(), "sb_1")),
        "key": replace(sent, key="K"),
    }

    assert answer_once(sent=others[other], work=work) is None

    assert work.times == 2


def test_a_key_of_another_request_is_refused() -> None:
    sent, work = _sent(), Work()
    answer_once(sent=sent, work=work)

    with pytest.raises(KeyReusedError, match="'k' was sent before with another"):
        answer_once(sent=replace(sent, digest="b" * 64), work=work)

    assert work.times == 1


def test_what_was_refused_undoes_everything_and_frees_the_key() -> None:
    sent, work = _sent(), Work()

    with pytest.raises(LookupError):
        answer_once(sent=sent, work=_refuse)

    assert not Organisation.objects.exists()
    assert not KeptAnswer.objects.exists()
    assert answer_once(sent=replace(sent, digest="b" * 64), work=work) is None


def test_an_answer_that_is_not_to_be_kept_frees_the_key() -> None:
    sent, work = _sent(), Work(None)

    for _ in range(2):
        assert answer_once(sent=sent, work=work) is None
        assert answer_apart(sent=sent, work=work, refusals=()) is None

    assert work.times == 4


def test_a_claim_of_a_process_that_died_is_taken_over() -> None:
    """Nobody holds its row, and no answer stands in it: it was not carried out."""
    sent, work = _sent(), Work()
    KeptAnswerFactory.create(
        user=sent.caller.user, caller="sb_1", key="k", request=sent.digest
    )

    assert answer_once(sent=sent, work=work) is None
    assert answer_once(sent=sent, work=work) == ANSWER

    assert work.times == 1


@pytest.mark.parametrize(
    ("later", "times"), [(KEPT_FOR - timedelta(seconds=1), 1), (KEPT_FOR, 2)]
)
def test_after_a_day_the_key_is_free_again(later: timedelta, times: int) -> None:
    sent, work = _sent(), Work()
    answer_once(sent=sent, work=work)

    answer_once(sent=replace(sent, at=NOW + later), work=work)

    assert work.times == times
    assert KeptAnswer.objects.count() == 1


def test_a_secret_is_not_kept_and_not_made_again() -> None:
    work = Work(Answer(status=201, body=b"sb_1_secret", withheld=True))
    sent = _sent()
    answer_once(sent=sent, work=work)

    with pytest.raises(AnswerWithheldError, match=r"answered 201\. Nothing was done"):
        answer_once(sent=sent, work=work)

    assert work.times == 1
    assert b"secret" not in bytes(KeptAnswer.objects.get().body)


def test_nothing_is_told_again_to_somebody_whose_role_has_changed() -> None:
    sent, work = _sent(), Work()
    answer_once(sent=sent, work=work)
    sent.caller.user.role = Role.VIEWER.value

    with pytest.raises(AnswerWithheldError):
        answer_once(sent=sent, work=work)

    assert work.times == 1


def test_answers_that_may_tell_of_erased_homes_are_withheld() -> None:
    sent, work = _sent(), Work()
    answer_once(sent=sent, work=work)
    running = KeptAnswerFactory.create()

    withhold_all_answers()

    row = KeptAnswer.objects.exclude(pk=running.pk).get()
    assert (bytes(row.body), row.headers, row.status) == (b"", {}, 201)
    assert not KeptAnswer.objects.get(pk=running.pk).withheld
    with pytest.raises(AnswerWithheldError):
        answer_once(sent=sent, work=work)


def test_what_is_a_day_old_is_forgotten() -> None:
    KeptAnswerFactory.create(at=NOW - KEPT_FOR)
    kept = KeptAnswerFactory.create(at=NOW - KEPT_FOR + timedelta(seconds=1))

    assert (forget_old_answers(at=NOW), forget_old_answers(at=NOW)) == (1, 0)

    assert list(KeptAnswer.objects.all()) == [kept]


def test_what_commits_by_itself_is_carried_out_once_too() -> None:
    sent, work = _sent(), Work()

    assert answer_apart(sent=sent, work=work, refusals=()) is None
    assert answer_apart(sent=sent, work=work, refusals=()) == ANSWER
    with pytest.raises(KeyReusedError):
        answer_apart(sent=replace(sent, digest="b" * 64), work=work, refusals=())

    assert work.times == 1


def test_what_commits_by_itself_keeps_what_it_wrote_of_a_refusal() -> None:
    sent, work = _sent(), Work()

    with pytest.raises(LookupError):
        answer_apart(sent=sent, work=_refuse, refusals=(LookupError,))

    assert Organisation.objects.exists()
    assert answer_apart(sent=sent, work=work, refusals=()) is None


def test_what_commits_by_itself_and_breaks_off_is_never_carried_out_again() -> None:
    """Whether it was carried out before it failed is not known to anybody."""
    sent, work = _sent(), Work()

    with pytest.raises(LookupError):
        answer_apart(sent=sent, work=_refuse, refusals=())
    with pytest.raises(RequestRunningError, match="look whether it was done"):
        answer_apart(sent=sent, work=work, refusals=())

    assert work.times == 0
