"""Errors that a person can act on carry a code, a sentence and the inputs."""

import pytest
from django.db import IntegrityError

from core.constraints import promised
from core.errors import DomainError, NotFoundError
from core.models import Site
from tests.factories import SiteFactory


def test_an_error_reads_as_its_sentence() -> None:
    error = DomainError("Give a day.", fields={"on": "a day"})

    assert str(error) == error.sentence == "Give a day."
    assert (error.code, error.fields) == ("refused", {"on": "a day"})


def test_an_error_without_fields_has_none() -> None:
    assert NotFoundError("There is no enclosure N-12.").fields == {}
    assert NotFoundError.code == "not_found"


def test_a_broken_promise_becomes_its_sentence_and_the_rest_goes_on(db: None) -> None:
    SiteFactory(code="north")
    taken = DomainError("taken")

    with (
        pytest.raises(DomainError) as refused,
        promised({"core_site_code": taken, "core_site.code": taken}),
    ):
        SiteFactory(code="north")
    SiteFactory(code="south")

    assert refused.value is taken
    assert isinstance(refused.value.__cause__, IntegrityError)
    assert [s.code for s in Site.objects.all()] == ["north", "south"]


def test_another_broken_promise_rises_as_it_is(db: None) -> None:
    SiteFactory(code="north")

    with pytest.raises(IntegrityError), promised({"core_room": DomainError("no")}):
        SiteFactory(code="north")
