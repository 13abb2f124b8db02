"""One finding in full, and a person's word on it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from core.models import AuditEntry
from core.roles import Role
from husbandry.models import Acknowledgement, Finding
from husbandry.rules.vocabulary import FindingKind
from tests.factories import CareProfileFactory, SiteFactory
from tests.nightly.world import ON, day
from tests.staff.conftest import Visitor
from tests.staff.samples import COLD, overdue, seen

pytestmark = pytest.mark.django_db


@pytest.fixture
def row() -> Finding:
    return overdue(
        SiteFactory.create(name="Ribeira House"),
        kind=FindingKind.BELOW_TARGET.value,
        key="below_target:animal:1:temperature_c:basking:day",
        evidence=COLD,
        opened_on=ON,
        last_seen_on=day(1),
        nights_seen=2,
    )


def _text(client: Client, row: Finding) -> str:
    answer = client.get(f"/findings/{row.pk}/")
    assert answer.status_code == 200
    return answer.content.decode().replace("\u00a0", " ")


def test_all_evidence_can_be_checked_on_paper(row: Finding, keeper: Client) -> None:
    text = _text(keeper, row)

    for said in (
        "V-0417 Juno (Nursery rack, N-12)",
        "Ribeira House",
        "28.0–31.0 °C",
        "Limit past which to act at once</th><td>20.0 °C",
        "Outside the band, in all</th><td>2 h 15 min",
        "Mean, weighted by time</th><td>27.1 °C",
        "How far × how long</th><td>310 °C × min",
        "version 1, row a-row",
        "willems-dvm says 29.4–32.2 °C",
    ):
        assert said in text


def test_sources_are_told_by_their_titles(row: Finding, keeper: Client) -> None:
    CareProfileFactory.create(species=row.animal.species)

    text = _text(keeper, row)

    assert "Common practice among careful keepers" in text
    assert "Willems, veterinarian" in text
    assert "Andrews" not in text


def test_every_night_is_told_also_one_that_could_not_say(
    row: Finding, keeper: Client
) -> None:
    seen(row, ON)
    seen(row, day(1))
    seen(row, day(2), said=False)
    seen(row, day(-1))  # before the spell: not of it

    text = _text(keeper, row)

    assert "Tue 3 Mar 2026</th><td>unknown</td><td>The data did not suffice" in text
    assert "Sun 1 Mar 2026</th><td>watch</td><td>Temperature at the" in text
    assert "Sat 28 Feb 2026</th>" not in text


def test_other_spells_of_the_same_thing_are_linked(
    row: Finding, keeper: Client
) -> None:
    before = overdue(
        row.site,
        key=row.key,
        kind=row.kind,
        evidence=COLD,
        opened_on=day(-9),
        last_seen_on=day(-8),
        closed_on=day(-7),
    )

    assert f'href="/findings/{before.pk}/"' in _text(keeper, row)
    assert "Closed: no longer so on Sun 22 Feb 2026" in _text(keeper, before)


def test_what_is_not_on_record_is_not_found(keeper: Client, row: Finding) -> None:
    assert keeper.get("/findings/999999/").status_code == 404
    for night in ("x", "2026-02-28"):
        assert keeper.get(f"/findings/{row.pk}/", {"night": night}).status_code == 404


def test_acknowledging_is_noted_with_who_and_why(row: Finding, keeper: Client) -> None:
    until = timezone.localdate() + timedelta(days=5)

    answer = keeper.post(
        f"/findings/{row.pk}/acknowledge/",
        {"note": " Lamp ordered ", "quiet_until": until.isoformat(), "next": "/"},
        follow=True,
    )

    said = Acknowledgement.objects.get()
    assert (said.finding, said.note, said.quiet_until) == (row, "Lamp ordered", until)
    assert str(said.by.pk) == keeper.session["_auth_user_id"]
    assert AuditEntry.objects.get(verb="acknowledge_finding").by == said.by
    assert answer.redirect_chain == [("/", 302)]
    assert "Noted: you have seen below target of V-" in answer.content.decode()


def test_one_tap_is_enough(row: Finding, keeper: Client) -> None:
    answer = keeper.post(f"/findings/{row.pk}/acknowledge/", {})

    assert answer.headers["Location"] == f"/findings/{row.pk}/"
    assert Acknowledgement.objects.get().quiet_until is None


@pytest.mark.parametrize(
    ("until", "sentence"),
    [
        ("2026-03-02", "Mon 2 Mar 2026 is not in the future"),
        ("soon", "This is no date. Write it as 2027-03-12."),
    ],
)
def test_a_day_that_cannot_be_is_refused_and_the_note_kept(
    row: Finding, keeper: Client, until: str, sentence: str
) -> None:
    answer = keeper.post(
        f"/findings/{row.pk}/acknowledge/",
        {"note": "Lamp <ordered>", "quiet_until": until},
    )

    text = answer.content.decode()
    assert answer.status_code == 400
    assert sentence in text
    assert 'value="Lamp &lt;ordered&gt;"' in text
    assert not Acknowledgement.objects.exists()


def test_a_note_too_long_is_refused(row: Finding, keeper: Client) -> None:
    answer = keeper.post(f"/findings/{row.pk}/acknowledge/", {"note": "x" * 301})

    assert answer.status_code == 400
    assert not Acknowledgement.objects.exists()


def test_what_closed_in_between_is_told(row: Finding, keeper: Client) -> None:
    Finding.objects.update(closed_on=day(2))

    answer = keeper.post(f"/findings/{row.pk}/acknowledge/", {}, follow=True)

    assert "This finding closed on 2026-03-03" in answer.content.decode()
    assert not Acknowledgement.objects.exists()


def test_it_leads_back_to_no_other_house(row: Finding, keeper: Client) -> None:
    form = {"next": "https://a.example/"}

    answer = keeper.post(f"/findings/{row.pk}/acknowledge/", form)

    assert answer.headers["Location"] == f"/findings/{row.pk}/"


def test_a_viewer_acknowledges_nothing(row: Finding, visitor: Visitor) -> None:
    answer = visitor(Role.VIEWER).post(f"/findings/{row.pk}/acknowledge/", {})

    assert answer.status_code == 403
    assert not Acknowledgement.objects.exists()


def test_a_form_from_elsewhere_is_refused(row: Finding, keeper: Client) -> None:
    strict = Client(enforce_csrf_checks=True)
    strict.cookies = keeper.cookies

    assert strict.post(f"/findings/{row.pk}/acknowledge/", {}).status_code == 403
    assert not Acknowledgement.objects.exists()
