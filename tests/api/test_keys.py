"""The same request twice with one key is carried out once.

Expectations are those of draft-ietf-httpapi-idempotency-key-header-07, 2.6 and 2.7.
"""

from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image
from rest_framework.test import APIClient

from api.errors import PROBLEM
from core.models import AuditEntry, KeptAnswer, User
from core.roles import Role, TokenScope
from core.tasks import forget_answers
from core.tokens import issue_token
from husbandry.models import Weighing
from tests.api.conftest import Caller
from tests.factories import (
    AnimalFactory,
    IntakeFactory,
    PlacementFactory,
    UserFactory,
)

KEY = {"HTTP_IDEMPOTENCY_KEY": '"8e03978e-40d5-43e8-bc93-6894a57f9324"'}


def _weighing(code: str, mass_g: float = 22.1) -> dict[str, Any]:
    return {"animal": code, "mass_g": mass_g}


def _lasting(answer: Any) -> dict[str, str]:
    """Return the headers but for what is left of the caller's quota."""
    return {n: v for n, v in answer.headers.items() if not n.startswith("RateLimit")}


def test_the_same_request_again_is_answered_the_same(keeper: APIClient) -> None:
    body = _weighing(AnimalFactory().code)

    first = keeper.post("/api/v1/weighings/", body, **KEY)
    again = keeper.post("/api/v1/weighings/", body, **KEY)

    assert (first.status_code, again.status_code) == (201, 201)
    assert again.content == first.content
    assert _lasting(again) == _lasting(first)
    assert Weighing.objects.count() == 1
    assert AuditEntry.objects.filter(verb="record_weighing").count() == 1


def test_without_a_key_nothing_is_kept(keeper: APIClient) -> None:
    keeper.post("/api/v1/weighings/", _weighing(AnimalFactory().code))

    assert KeptAnswer.objects.count() == 0


def test_the_same_key_for_another_body_or_address_is_refused(keeper: APIClient) -> None:
    animal = AnimalFactory()
    keeper.post("/api/v1/weighings/", _weighing(animal.code), **KEY)

    other_body = keeper.post("/api/v1/weighings/", _weighing(animal.code, 22.2), **KEY)
    body = {**_weighing(animal.code), "reason": "Weighed twice."}
    other_address = keeper.post("/api/v1/weighings/confirm/", body, **KEY)

    for answer in (other_body, other_address):
        assert (answer.status_code, answer["Content-Type"]) == (422, PROBLEM)
        assert answer.json()["code"] == "key_reused"
    assert Weighing.objects.count() == 1


def test_another_persons_same_key_is_another_key(caller: Caller) -> None:
    body = _weighing(AnimalFactory().code)
    first = caller(Role.KEEPER).post("/api/v1/weighings/", body, **KEY)

    other = caller(Role.KEEPER).post("/api/v1/weighings/", body, **KEY)

    assert other.json()["recorded_by"] != first.json()["recorded_by"]
    assert KeptAnswer.objects.count() == 2


@pytest.mark.django_db
def test_another_token_of_the_same_person_has_keys_of_its_own() -> None:
    user, body = UserFactory(role="keeper"), _weighing(AnimalFactory().code)
    for name in ("hall", "balcony"):
        token = issue_token(
            user=user, name=name, scope=TokenScope.RECORD, by=None, at=timezone.now()
        )
        client = APIClient()
        client.credentials(HTTP_AUTHORIZATION=f"Bearer {token.text}", **KEY)
        client.post("/api/v1/weighings/", body)
        client.post("/api/v1/weighings/", body)
        kept = KeptAnswer.objects.get(caller=f"sb_{token.token.prefix}")
        assert token.text.rpartition("_")[2] not in str(vars(kept))

    assert KeptAnswer.objects.count() == 2


def test_a_refusal_did_nothing_and_is_not_kept(keeper: APIClient) -> None:
    refused = keeper.post("/api/v1/weighings/", _weighing("V-0417"), **KEY)
    AnimalFactory(code="V-0417")
    again = keeper.post("/api/v1/weighings/", _weighing("V-0417"), **KEY)

    assert (refused.status_code, again.status_code) == (400, 201)


def test_a_list_with_refused_rows_was_carried_out_and_is_kept(
    keeper: APIClient,
) -> None:
    rows = [_weighing(AnimalFactory().code), _weighing("nobody")]
    first = keeper.post("/api/v1/weighings/", rows, **KEY)
    AnimalFactory(code="nobody")

    again = keeper.post("/api/v1/weighings/", rows, **KEY)

    assert (first.status_code, again.status_code) == (200, 200)
    assert again.json() == first.json()
    assert len(again.json()["refused"]) == 1


def test_a_fault_leaves_nothing_and_frees_the_key(
    keeper: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    body = _weighing(AnimalFactory().code)
    keeper.raise_request_exception = False

    with monkeypatch.context() as patch:
        patch.setattr("api.weighings.Weighings.shown", lambda *_: 1 / 0)
        failed = keeper.post("/api/v1/weighings/", body, **KEY)

    assert failed.status_code == 500
    assert (Weighing.objects.count(), KeptAnswer.objects.count()) == (0, 0)
    assert keeper.post("/api/v1/weighings/", body, **KEY).status_code == 201


@pytest.mark.parametrize(
    ("header", "key"),
    [
        ('"8e03978e-40d5"', "8e03978e-40d5"),
        ("8e03978e-40d5", "8e03978e-40d5"),
        (r'"a\"b\\c"', r'a"b\c'),
        ("x" * 255, "x" * 255),
    ],
)
def test_keys_that_can_be_read(keeper: APIClient, header: str, key: str) -> None:
    """A string of RFC 8941, 3.3.3; or without its quotes, as many send it."""
    body = _weighing(AnimalFactory().code)

    keeper.post("/api/v1/weighings/", body, HTTP_IDEMPOTENCY_KEY=header)

    assert KeptAnswer.objects.get().key == key


@pytest.mark.parametrize(
    "header", ["", '""', '"a', 'a"', "a b", '"a b"', '"a", "b"', "ü", "x" * 256, "a;b"]
)
def test_keys_that_cannot(keeper: APIClient, header: str) -> None:
    body = _weighing(AnimalFactory().code)

    answer = keeper.post("/api/v1/weighings/", body, HTTP_IDEMPOTENCY_KEY=header)

    assert (answer.status_code, answer["Content-Type"]) == (400, PROBLEM)
    assert answer.json()["code"] == "bad_key"
    assert "1 to 255 visible ASCII" in answer.json()["detail"]
    assert Weighing.objects.count() == 0


def test_reading_needs_no_key(viewer: APIClient) -> None:
    assert viewer.get("/api/v1/me/", **KEY).status_code == 200
    assert KeptAnswer.objects.count() == 0


def test_who_may_not_is_refused_before_anything_is_told_again(
    caller: Caller, keeper: APIClient
) -> None:
    body = _weighing(AnimalFactory().code)
    keeper.post("/api/v1/weighings/", body, **KEY)
    User.objects.update(role=Role.VIEWER.value)
    keeper.force_authenticate(User.objects.get())

    assert keeper.post("/api/v1/weighings/", body, **KEY).status_code == 403


def test_a_secret_is_shown_once(owner: APIClient) -> None:
    body = {"placement": PlacementFactory(handed_over=True).pk}

    first = owner.post("/api/v1/private-addresses/", body, **KEY)
    again = owner.post("/api/v1/private-addresses/", body, **KEY)

    assert first.status_code == 201
    assert (again.status_code, again["Content-Type"]) == (409, PROBLEM)
    assert again.json()["code"] == "answer_withheld"
    kept = KeptAnswer.objects.get()
    assert (bytes(kept.body), kept.headers, kept.status) == (b"", {}, 201)
    listed = owner.get("/api/v1/private-addresses/").json()["results"]
    assert len(listed) == 1


def test_a_verb_without_a_body(owner: APIClient) -> None:
    body = {"placement": PlacementFactory(handed_over=True).pk}
    made = owner.post("/api/v1/private-addresses/", body).json()
    address = f"/api/v1/private-addresses/{made['id']}/withdraw/"

    first, again = owner.post(address, **KEY), owner.post(address, **KEY)

    assert (first.status_code, again.status_code) == (200, 200)
    assert owner.post(address).status_code == 409


@pytest.mark.parametrize("fails", [False, True])
def test_a_form_is_its_parts_whatever_its_boundary(
    keeper: APIClient, settings: Any, tmp_path: Any, fails: bool
) -> None:
    settings.MEDIA_ROOT = str(tmp_path)
    address = f"/api/v1/intakes/{IntakeFactory().pk}/photos/"
    photo = BytesIO()
    Image.new("RGB", (40, 30), (90, 140, 60)).save(photo, "PNG")

    def send(boundary: str) -> Any:
        head = (
            f'--{boundary}\r\nContent-Disposition: form-data; name="file"; '
            'filename="a.png"\r\nContent-Type: image/png\r\n\r\n'
        )
        body = head.encode() + photo.getvalue() + f"\r\n--{boundary}--\r\n".encode()
        kind = f"multipart/form-data; boundary={boundary}"
        return keeper.generic("POST", address, body, content_type=kind, **KEY)

    if fails:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("api.answering.Answering._to_keep", lambda *_: 1 / 0)
            keeper.raise_request_exception = False
            assert send("one").status_code == 500
        assert [p for p in tmp_path.rglob("*") if p.is_file()] == []
    first, again = send("one"), send("another")

    assert (first.status_code, again.status_code) == (201, 201), first.content
    assert again.content == first.content
    assert len([p for p in tmp_path.rglob("*") if p.is_file()]) == 1


def test_answers_are_forgotten_after_a_day(keeper: APIClient) -> None:
    body = _weighing(AnimalFactory().code)
    keeper.post("/api/v1/weighings/", body, **KEY)

    assert forget_answers() == 0
    KeptAnswer.objects.update(at=timezone.now() - timedelta(hours=24))
    assert forget_answers() == 1


def test_what_commits_by_itself_is_carried_out_once_too(
    keeper: APIClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    apart = frozenset({"create"})
    monkeypatch.setattr("api.weighings.Weighings.own_transactions", apart)
    refused = keeper.post("/api/v1/weighings/", _weighing("V-0417"), **KEY)
    body = _weighing(AnimalFactory(code="V-0417").code)

    first = keeper.post("/api/v1/weighings/", body, **KEY)
    again = keeper.post("/api/v1/weighings/", body, **KEY)

    assert [a.status_code for a in (refused, first, again)] == [400, 201, 201]
    assert again.content == first.content
    assert Weighing.objects.count() == 1
