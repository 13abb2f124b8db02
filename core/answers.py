"""Answers that are kept, so that a request sent twice is carried out once (ADR 0020).

A claim is a row that exists before the request is carried out. Whoever carries it out
holds the row locked, and fills it in the same transaction: so either both the deed and
its answer are there, or neither; and the lock of a process that died is gone with it.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db import DatabaseError, connection, transaction

from core.errors import DomainError
from core.models import KeptAnswer, User
from core.transactions import whole

KEPT_FOR = timedelta(hours=24)
MOST_CLAIMS = 5
LOCK_NOT_AVAILABLE = "55P03"


class KeyReusedError(DomainError):
    """A key was sent with another request before."""

    code = "key_reused"


class RequestRunningError(DomainError):
    """The same request is being carried out at this moment."""

    code = "request_running"
    wait = 1  # seconds


class AnswerWithheldError(DomainError):
    """The request was carried out before, and its answer is not kept."""

    code = "answer_withheld"


@dataclass(frozen=True, slots=True)
class Caller:
    """Whose key it is; another caller's same key is another key.

    Attributes:
        user: for whom it acts.
        name: by which token, or how else.
    """

    user: User
    name: str


@dataclass(frozen=True, slots=True)
class Sent:
    """A request with a key.

    Attributes:
        caller: who sent it.
        key: as the caller made it up, 1 to 255 characters.
        digest: HMAC of everything that makes it this request.
        at: now.
    """

    caller: Caller
    key: str
    digest: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Answer:
    """What was answered; `withheld`: that it was is kept, but not what."""

    status: int
    headers: dict[str, str] = field(default_factory=dict)
    body: bytes = b""
    withheld: bool = False


Work = Callable[[], Answer | None]


def answer_once(*, sent: Sent, work: Work) -> Answer | None:
    """Carry a request out in one transaction with its answer, or answer it again.

    Args:
        sent: the request.
        work: carries it out; None is an answer that is not to be kept. What it
            raises undoes everything, and the key is as if it had never been sent.

    Returns:
        What was answered when it was sent before; None: it was carried out now.

    Raises:
        KeyReusedError: the key was sent with another request in the last day.
        RequestRunningError: the same is being carried out at this moment. On SQLite,
            where one transaction writes at a time, it is waited for instead.
        AnswerWithheldError: it was carried out; its answer showed a secret.
    """
    begun = False

    def begin() -> Answer | None:
        nonlocal begun
        begun = True
        return work()

    for _ in range(MOST_CLAIMS):
        row, _ = _claimed(sent)
        _check(row, sent)
        try:
            with whole():
                if held := _held(row):
                    return _answered(held, sent, begin)
        except BaseException:
            if begun:
                _forget(row)
            raise
        # Whoever had claimed it has just given it up.
    raise _running()


def answer_apart(
    *, sent: Sent, work: Work, refusals: tuple[type[Exception], ...]
) -> Answer | None:
    """Carry out, at most once, a request that commits by itself, or answer it again.

    For what cannot be part of one transaction. Should the process die on the way,
    nobody knows whether it was carried out: it then counts as running for a day.

    Args:
        sent: the request.
        work: see `answer_once`.
        refusals: what `work` raises when it has done nothing.

    Returns:
        See `answer_once`.

    Raises:
        KeyReusedError: see `answer_once`.
        RequestRunningError: it is running, or has broken off.
        AnswerWithheldError: see `answer_once`.
    """
    row, ours = _claimed(sent)
    if not ours:
        _check(row, sent)
        return _again(row, sent)
    try:
        answer = work()
    except refusals:
        _forget(row)
        raise
    if answer is None:
        _forget(row)
    else:
        _fill(row, answer)
    return None


def forget_old_answers(*, at: datetime) -> int:
    """Forget what was answered a day ago or earlier.

    Args:
        at: now.

    Returns:
        How many answers.
    """
    return KeptAnswer.objects.filter(at__lte=at - KEPT_FOR).delete()[0]


def withhold_all_answers() -> None:
    """Keep of all answers only that they were given.

    For when personal data are erased, which any of them may repeat. What was carried
    out is still not carried out again.
    """
    given = KeptAnswer.objects.filter(status__isnull=False, withheld=False)
    given.update(body=b"", headers={}, withheld=True)


def _claimed(sent: Sent) -> tuple[KeptAnswer, bool]:
    """Return the row of a key, and whether this request made it; committed at once."""
    with transaction.atomic():
        mine = KeptAnswer.objects.filter(
            user=sent.caller.user, caller=sent.caller.name, key=sent.key
        )
        if row := mine.first():
            if row.at > sent.at - KEPT_FOR:
                return row, False
            mine.filter(pk=row.pk, at=row.at).delete()
        return KeptAnswer.objects.get_or_create(
            user=sent.caller.user,
            caller=sent.caller.name,
            key=sent.key,
            defaults={
                "request": sent.digest,
                "role": sent.caller.user.role,
                "at": sent.at,
            },
        )


def _held(row: KeptAnswer) -> KeptAnswer | None:
    """Return the row, locked until the transaction ends; None where it is gone.

    Raises:
        RequestRunningError: another transaction holds it.
    """
    try:
        with transaction.atomic():
            rows = KeptAnswer.objects.select_for_update(nowait=True, of=("self",))
            return rows.filter(pk=row.pk).first()
    except DatabaseError as error:
        if getattr(error.__cause__, "sqlstate", "") == LOCK_NOT_AVAILABLE:
            raise _running() from error
        raise


def _answered(row: KeptAnswer, sent: Sent, work: Work) -> Answer | None:
    _check(row, sent)
    if row.status is not None:
        return _again(row, sent)
    answer = work()
    if answer is None:
        row.delete()
    else:
        _fill(row, answer)
    return None


def _check(row: KeptAnswer, sent: Sent) -> None:
    if row.request != sent.digest:
        raise KeyReusedError(
            f"The Idempotency-Key {sent.key!r} was sent before with another request. "
            "Send exactly the same method, address and body again, or make up a new "
            "key for a new request.",
            fields={"Idempotency-Key": "a key that was not used for another request"},
        )


def _again(row: KeptAnswer, sent: Sent) -> Answer:
    if row.status is None:
        raise _running()
    # What somebody may no longer see is not told again either.
    if row.withheld or row.role != sent.caller.user.role:
        raise AnswerWithheldError(
            f"The request with the Idempotency-Key {sent.key!r} was carried out at "
            f"{row.at:%Y-%m-%d %H:%M} UTC and answered {row.status}. Nothing was done "
            "now. Its answer is not kept, because it showed a secret or personal data; "
            "look at the list for what is there.",
        )
    return Answer(row.status, dict(row.headers), bytes(row.body))


def _fill(row: KeptAnswer, answer: Answer) -> None:
    row.status, row.withheld = answer.status, answer.withheld
    if not answer.withheld:
        row.headers, row.body = answer.headers, answer.body
    row.save(update_fields=["status", "headers", "body", "withheld"])


def _forget(row: KeptAnswer) -> None:
    """Give a claim up; one that somebody else has filled meanwhile stays."""
    # After a broken connection there is nothing to be said to it.
    if connection.is_usable():
        KeptAnswer.objects.filter(pk=row.pk, status__isnull=True).delete()


def _running() -> RequestRunningError:
    return RequestRunningError(
        "A request with this Idempotency-Key is being carried out at this moment. Send "
        "it again in a few seconds; you will then be told what came of it. If it "
        "remains so for minutes it broke off: look whether it was done before you send "
        "it under a new key.",
    )
