"""The page for people who write scripts works as it is printed."""

import json
import re
from pathlib import Path

import pytest
from django.conf import settings
from rest_framework.test import APIClient

from tests.factories import ProbeFactory

PAGE = (Path(settings.BASE_DIR) / "docs" / "api.md").read_text(encoding="utf-8")
ADDRESSES = re.findall(r"http://127\.0\.0\.1:8000(/api/v1/[^\s\"]*)", PAGE)


def test_it_goes_from_a_token_to_last_nights_findings() -> None:
    assert ADDRESSES == [
        "/api/v1/me/",
        "/api/v1/review-runs/?page_size=1",
        "/api/v1/findings/?open=true",
        "/api/v1/readings/",
    ]


@pytest.mark.parametrize("address", ADDRESSES[:3])
def test_what_it_asks_is_answered(address: str, viewer: APIClient) -> None:
    assert viewer.get(address).status_code == 200


def test_what_it_posts_is_stored(keeper: APIClient) -> None:
    ProbeFactory(code="P-001")
    (sent,) = re.findall(r"-d '(.*)'", PAGE)

    answer = keeper.post("/api/v1/readings/", json.loads(sent))

    assert (answer.json()["received"], answer.json()["stored"]) == (2, 2)
