"""Papers as pages: recorded, refused beside the field, withdrawn, few queries."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from core.roles import Role
from placements.models import AnimalPaper
from placements.rules.vocabulary import PaperKind
from tests import factories
from tests.staff.conftest import Visitor

pytestmark = pytest.mark.django_db


def typed(animal: str) -> dict[str, str]:
    return {
        "kind": list(PaperKind)[-1].value,
        "animal": animal,
        "number": "2026/17",
        "issued_by": "District office",
    }


def test_a_paper_is_recorded_once_and_withdrawn(visitor: Visitor) -> None:
    factories.AnimalFactory.create(code="V-0911")
    owner = visitor(Role.OWNER)

    assert owner.post("/papers/", typed("V-0911")).status_code == 302
    again = owner.post("/papers/", typed("V-0911"))
    assert again.status_code == 400
    assert "is on record already" in again.content.decode()
    assert 'value="2026/17"' in again.content.decode()

    row = AnimalPaper.objects.get()
    assert "2026/17" in owner.get(f"/papers/{row.pk}/").content.decode()
    assert owner.post(f"/papers/{row.pk}/withdraw/", {}).status_code == 400
    owner.post(f"/papers/{row.pk}/withdraw/", {"reason": "typed wrongly"})
    row.refresh_from_db()
    assert row.withdrawn_reason == "typed wrongly"


def test_a_source_that_contradicts_the_origin_is_remarked_on(visitor: Visitor) -> None:
    animal = factories.AnimalFactory.create(origin="wild_caught")
    row = factories.AnimalPaperFactory.create(
        animal=animal, kind="cites_certificate", cites_source="F"
    )

    told = visitor(Role.OWNER).get(f"/papers/{row.pk}/").content.decode()

    assert "treated as taken from the wild" in told
    assert "One of the two is wrong." in told
    assert "CITES Appendix II" in told


def test_no_photograph_is_refused(visitor: Visitor) -> None:
    row = factories.AnimalPaperFactory.create()

    answer = visitor(Role.OWNER).post(f"/papers/{row.pk}/photograph/", {})

    assert answer.status_code == 400
    assert "Choose a photograph first." in answer.content.decode()


@pytest.mark.parametrize("path", ["/papers/", "/register/", "/placements/figures/"])
def test_as_many_queries_for_three_as_for_one(path: str, visitor: Visitor) -> None:
    owner = visitor(Role.OWNER)

    def asked(number: int) -> int:
        factories.AnimalPaperFactory.create()
        factories.RegisterEntryFactory.create(number=number)
        with CaptureQueriesContext(connection) as queries:
            assert owner.get(path).status_code == 200
        return len(queries)

    first = asked(1)
    asked(2)
    assert asked(3) == first
