"""Two requests at the same moment, on either database."""

import threading
from typing import Any

import pytest
from django.db import connection, transaction
from rest_framework.test import APIClient

from core.answers import Answer, Caller, RequestRunningError, Sent, answer_once
from core.models import KeptAnswer, Organisation, User
from core.roles import Role
from husbandry.models import Weighing
from tests.factories import (
    NOW,
    AnimalFactory,
    OrganisationFactory,
    PlacementFactory,
    UserFactory,
)
from tests.husbandry import test_readings_at_once as at_once

pytestmark = pytest.mark.django_db(transaction=True)
shared_database = at_once.shared_database
POSTGRES = connection.vendor == "postgresql"


def _client(user: User) -> APIClient:
    client = APIClient()
    client.force_authenticate(user)
    return client


def test_the_same_request_twice_at_once_is_carried_out_once(
    shared_database: Any,
) -> None:
    owner, animal = UserFactory(role=Role.OWNER.value), AnimalFactory()
    body = {"animal": animal.code, "mass_g": 22.1}
    answers: list[Any] = []
    counted: list[int] = []
    shared_database()

    def send() -> None:
        address = "/api/v1/weighings/"
        answers.append(_client(owner).post(address, body, HTTP_IDEMPOTENCY_KEY="k"))

    raised = at_once.together(*[send] * 4)
    at_once.together(lambda: counted.append(Weighing.objects.count()))

    assert raised == []
    assert counted == [1]
    assert {a.status_code for a in answers} <= ({201, 409} if POSTGRES else {201})
    assert len({a.content for a in answers if a.status_code == 201}) == 1


def test_while_the_first_runs_the_second_is_told_so_or_waits(
    shared_database: Any,
) -> None:
    """PostgreSQL tells at once. On SQLite writers queue, so it comes after the first."""
    user = UserFactory()
    started, go_on = threading.Event(), threading.Event()
    outcomes: list[Any] = []
    shared_database()

    def work() -> Answer:
        started.set()
        assert go_on.wait(timeout=20)
        OrganisationFactory.create()
        return Answer(status=201, body=b"done")

    def send() -> None:
        sent = Sent(Caller(user, "sb_1"), "k", "a" * 64, NOW)
        outcomes.append(answer_once(sent=sent, work=work))

    def send_again() -> None:
        assert started.wait(timeout=20)
        if POSTGRES:
            with pytest.raises(RequestRunningError):
                send()
            go_on.set()
        else:
            threading.Timer(0.5, go_on.set).start()
            send()

    raised = at_once.together(send, send_again)

    assert raised == []
    assert outcomes == [None] if POSTGRES else [None, Answer(201, {}, b"done")]


def test_a_process_that_dies_on_the_way_blocks_nobody(shared_database: Any) -> None:
    user = UserFactory()
    sent = Sent(Caller(user, "sb_1"), "k", "a" * 64, NOW)
    there: list[int] = []
    shared_database()

    def work() -> Answer:
        OrganisationFactory.create()
        return Answer(status=201, body=b"done")

    def die() -> Answer:
        work()
        # What the database sees of a process that was killed.
        connection.connection.close()
        raise SystemExit

    def send_and_die() -> None:
        answer_once(sent=sent, work=die)

    raised = at_once.together(send_and_die)
    at_once.together(
        lambda: there.extend((Organisation.objects.count(), KeptAnswer.objects.count()))
    )
    again: list[Any] = []
    at_once.together(lambda: again.append(answer_once(sent=sent, work=work)))
    at_once.together(lambda: again.append(answer_once(sent=sent, work=work)))

    assert [type(error) for error in raised] != []
    assert there[0] == 0
    assert again == [None, Answer(201, {}, b"done")]


def test_of_two_writers_who_saw_the_same_one_wins(shared_database: Any) -> None:
    owner = UserFactory(role=Role.OWNER.value)
    row = PlacementFactory(kind="sale")
    address = f"/api/v1/placements/{row.pk}/"
    tag = _client(owner).get(address)["ETag"]
    answers: list[int] = []
    shared_database()

    def change(day: int) -> None:
        answer = _client(owner).post(
            f"{address}change-plan/",
            {"planned_on": f"2026-05-{day:02}"},
            HTTP_IF_MATCH=tag,
        )
        answers.append(answer.status_code)

    raised = at_once.together(*[lambda d=d: change(d) for d in (10, 11, 12)])

    assert raised == []
    assert sorted(answers) == [200, 412, 412]


def test_a_writer_without_a_condition_is_waited_for(shared_database: Any) -> None:
    """Its change is seen, not overwritten; on SQLite all writers wait anyway."""
    owner = UserFactory(role=Role.OWNER.value)
    row = PlacementFactory(kind="sale")
    address = f"/api/v1/placements/{row.pk}/"
    tag = _client(owner).get(address)["ETag"]
    changed = threading.Event()
    answers: list[int] = []
    shared_database()

    def change() -> None:
        with transaction.atomic():
            type(row).objects.filter(pk=row.pk).update(planned_on="2026-05-10")
            changed.set()
            threading.Event().wait(0.5)

    def change_what_was_seen() -> None:
        assert changed.wait(timeout=20)
        answer = _client(owner).post(
            f"{address}change-plan/", {"planned_on": "2026-05-11"}, HTTP_IF_MATCH=tag
        )
        answers.append(answer.status_code)

    raised = at_once.together(change, change_what_was_seen)

    assert raised == []
    assert answers == [412]
