"""Compressed bodies: unpacked as far as is taken, and sound, or refused."""

import gzip
import tracemalloc
import zlib

import pytest
from rest_framework.test import APIClient

from husbandry.models import Reading
from tests.api.sensed import READINGS, as_json
from tests.factories import ProbeFactory

pytestmark = pytest.mark.django_db
START = 1_772_409_600
LIMIT = 20 * 1024 * 1024
_, BODY = as_json([{"probe": "P-1", "at": START, "temperature_c": 24.3}])


def _post(client: APIClient, body: bytes, encoding: str) -> object:
    return client.generic(
        *("POST", READINGS, body),
        content_type="application/json",
        headers={"content-encoding": encoding},
    )


# RFC 9110, 8.4.1: names are compared without case, x-gzip is gzip. RFC 1952, 2.2: a
# file is one member or several, one after the other.
@pytest.mark.parametrize(
    ("body", "encoding"),
    [
        (BODY, "identity"),
        (gzip.compress(BODY), "gzip"),
        (gzip.compress(BODY), " GZIP "),
        (gzip.compress(BODY, 0), "x-gzip"),
        (gzip.compress(BODY[:9]) + gzip.compress(BODY[9:]), "gzip"),
        (gzip.compress(BODY + b" " * 1_000_000), "gzip"),
    ],
)
def test_what_is_taken(keeper: APIClient, body: bytes, encoding: str) -> None:
    ProbeFactory(code="P-1")

    answer = _post(keeper, body, encoding)

    assert answer.status_code == 200  # type: ignore[attr-defined]
    assert Reading.objects.count() == 1


@pytest.mark.parametrize(
    "body",
    [
        BODY,
        b"\x1f\x8b",
        gzip.compress(BODY)[:-1],
        gzip.compress(BODY)[:-8],
        gzip.compress(BODY)[:-5] + b"\x00" + gzip.compress(BODY)[-4:],
        gzip.compress(BODY) + b"tail",
        zlib.compress(BODY),
    ],
)
def test_what_is_not_sound(keeper: APIClient, body: bytes) -> None:
    answer = _post(keeper, body, "gzip")

    assert answer.status_code == 400  # type: ignore[attr-defined]
    assert answer.json()["code"] == "malformed_gzip"  # type: ignore[attr-defined]


@pytest.mark.parametrize("encoding", ["br", "deflate", "zstd", "gzip, gzip"])
def test_another_encoding_is_told_what_is_taken(
    keeper: APIClient, encoding: str
) -> None:
    answer = _post(keeper, gzip.compress(BODY), encoding)

    assert answer.status_code == 415  # type: ignore[attr-defined]
    assert answer.json()["code"] == "unsupported_encoding"  # type: ignore[attr-defined]
    # RFC 9110, 15.5.16.
    assert answer["Accept-Encoding"] == "gzip"  # type: ignore[index]


@pytest.mark.parametrize("more", [0, 1])
def test_the_limit_is_of_what_is_unpacked(keeper: APIClient, more: int) -> None:
    ProbeFactory(code="P-1")
    body = BODY + b" " * (LIMIT - len(BODY) + more)

    answer = _post(keeper, gzip.compress(body), "gzip")

    assert answer.status_code == (413 if more else 200)  # type: ignore[attr-defined]


def test_a_bomb_is_refused_before_it_takes_memory(keeper: APIClient) -> None:
    packer = zlib.compressobj(9, wbits=31)
    zeros = bytes(1024 * 1024)
    bomb = b"".join(packer.compress(zeros) for _ in range(1_024)) + packer.flush()
    assert len(bomb) < LIMIT // 10  # a gibibyte in two megabytes
    _post(keeper, b"", "gzip")

    tracemalloc.start()
    answer = _post(keeper, bomb, "gzip")
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()

    assert answer.status_code == 413  # type: ignore[attr-defined]
    assert answer.json()["code"] == "too_large"  # type: ignore[attr-defined]
    assert peak < 4 * LIMIT


def test_any_body_may_be_compressed(owner: APIClient) -> None:
    answer = owner.generic(
        *("POST", "/api/v1/weighings/", gzip.compress(b"{}")),
        content_type="application/json",
        headers={"content-encoding": "gzip"},
    )

    assert answer.json()["detail"].startswith("animal cannot be read: it is missing")
