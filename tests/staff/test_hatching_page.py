"""A box hatches on one page: masses, heels, enclosures; all are kept or none."""

import re
from datetime import timedelta
from decimal import Decimal
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from clutches.models import Egg, EggPlace, Hatchling, SpurCheck
from core.roles import Role
from husbandry.models import Animal, CareProfile, Stay, Weighing
from tests.clutches.nest import Nest, make_nest
from tests.factories import AnimalFactory, EnclosureFactory, RoomFactory, StayFactory
from tests.husbandry.care_lists import queries_of
from tests.staff.conftest import Visitor
from tests.staff.test_egg_pages import keys, laid, text, today_of

pytestmark = pytest.mark.django_db
PAGE = "/breeding/boxes/BX-mill/hatch/"


@pytest.fixture
def nest(db: None) -> Nest:
    """Twelve eggs on day 200, when hatching is awaited."""
    return laid(make_nest(eggs=12), 200)


@pytest.fixture
def tubs(nest: Nest) -> list[str]:
    room = RoomFactory.create(site=nest.site, name="Nursery")
    return [
        str(EnclosureFactory.create(code=f"T-{n}", room=room, kind="tub").pk)
        for n in (1, 2)
    ]


def hatch(client: Client, nest: Nest, *numbers: int, **typed: str) -> Any:
    """Send the page; `e1_mass_g` is the field of egg 1."""
    fields: dict[str, Any] = {"on": today_of(nest).isoformat()}
    for name, value in typed.items():
        found = re.fullmatch(r"e(\d+)_(.*)", name)
        key = keys(nest, int(found[1]))[0] if found else None
        fields[f"e{key}-{found[2]}" if found else name] = value
    sent = {"egg": keys(nest, *numbers), **fields}
    return client.post(PAGE, sent, follow=True)


def blocks(answer: Any) -> list[str]:
    """Return the words of each egg's block."""
    page = unescape(answer.content.decode())
    found = re.findall(r'<section class="hatchling".*?</section>', page, re.DOTALL)
    return [" ".join(re.sub("<[^>]*>", " ", one).split()) for one in found]


def test_without_eggs_all_are_offered_and_none_chosen(
    nest: Nest, keeper: Client
) -> None:
    page = keeper.get(PAGE).content.decode()

    assert page.count('type="checkbox"') == 12
    assert "checked" not in page
    assert "A1: egg 1 of C-mill" in page
    assert f'href="{PAGE}"' in keeper.get("/breeding/boxes/BX-mill/").content.decode()


@pytest.mark.parametrize(
    ("asked", "status", "said"),
    [
        ("?places=", 400, "No egg is chosen: tap some, or name places."),
        ("?places=Z9", 400, "The box has no Z9."),
        ("?egg=abc", 200, "Which eggs hatched?"),
        ("?egg=99999999999999999999", 200, "Which eggs hatched?"),
        ("?places=row+1", 200, "C-mill no. 3 place C1"),
    ],
)
def test_eggs_are_chosen_by_taps_or_places(
    asked: str, status: int, said: str, nest: Nest, keeper: Client
) -> None:
    answer = keeper.get(PAGE + asked)

    assert answer.status_code == status
    assert said in text(answer)


def test_a_box_without_eggs_says_so(nest: Nest, keeper: Client) -> None:
    EggPlace.objects.update(until_at=timezone.now())

    assert "No egg lies in this box." in text(keeper.get(PAGE))


def test_each_chosen_egg_has_a_block(
    nest: Nest, tubs: list[str], keeper: Client
) -> None:
    first, fifth = keys(nest, 1, 5)
    answer = keeper.get(f"{PAGE}?egg={first}&egg={fifth}")

    one, other = blocks(answer)
    assert one.startswith("C-mill no. 1 place A1 Mass, g: Left heel not looked present")
    assert other.startswith("C-mill no. 5 place B2")
    assert "weighed again" not in one.lower()
    told = text(answer)
    assert "g is plausible; anything else has to be weighed again" in told
    assert "T-1, Nursery: empty" in told
    assert "I-mill" not in told  # young do not live in an incubator
    page = answer.content.decode()
    assert f'value="{today_of(nest).isoformat()}"' in page
    assert 'inputmode="decimal"' in page
    assert "Record 2 hatchlings" in page


def test_a_day_that_was_typed_before_comes_along(nest: Nest, keeper: Client) -> None:
    on = (today_of(nest) - timedelta(days=2)).isoformat()
    [first] = keys(nest, 1)

    page = keeper.get(f"{PAGE}?egg={first}&on={on}").content.decode()

    assert f'value="{on}"' in page


def test_young_are_weighed_housed_and_looked_at(
    nest: Nest, tubs: list[str], keeper: Client
) -> None:
    answer = hatch(
        *(keeper, nest, 1, 2, 3),
        enclosure=tubs[0],
        e1_mass_g="1,2",
        e1_left="present",
        e1_right="present",
        e2_mass_g="1.3",
        e2_enclosure=tubs[1],
        e2_code="BABY-2",
        e3_enclosure="none",
    )

    told = text(answer)
    assert "3 eggs hatched on" in told
    assert ": C-mill-01 from egg 1, BABY-2 from egg 2, C-mill-02 from egg 3." in told
    page = answer.content.decode()
    assert 'href="/breeding/clutches/C-mill/">Clutch C-mill</a>' in page
    assert "?animal=C-mill-01&amp;animal=BABY-2&amp;animal=C-mill-02" in page
    young = {one.egg.number: one.animal for one in Hatchling.objects.all() if one.egg}
    assert {n: a.hatched_on for n, a in young.items()} == dict.fromkeys(
        (1, 2, 3), today_of(nest)
    )
    assert dict(Weighing.objects.values_list("animal__code", "mass_g")) == {
        "C-mill-01": Decimal("1.20"),
        "BABY-2": Decimal("1.30"),
    }
    assert dict(Stay.objects.values_list("animal__code", "enclosure__code")) == {
        "C-mill-01": "T-1",
        "BABY-2": "T-2",
    }
    check = SpurCheck.objects.get()
    assert (check.animal.code, check.left, check.right) == (
        *("C-mill-01", "present", "present"),
    )
    assert str(check.looked_by_id) == keeper.session["_auth_user_id"]


def test_a_mass_that_is_not_plausible_is_asked_about_beside_its_egg(
    nest: Nest, keeper: Client
) -> None:
    answer = hatch(keeper, nest, 1, 11, e1_mass_g="1.2", e11_mass_g="12")

    assert answer.status_code == 409
    one, eleven = blocks(answer)
    assert "not plausible" not in one
    assert "egg 11 of C-mill: 12.00 g is not plausible" in eleven
    assert "Weighed again, the mass is right" in eleven
    assert "Weighed again, the mass is right" not in one
    page = answer.content.decode()
    assert page.count("is not plausible for a hatchling") == 2  # at the top as well
    assert 'value="12"' in page
    assert 'value="1.2"' in page
    assert not Animal.objects.filter(code__startswith="C-mill-").exists()

    again = {"e1_mass_g": "1.2", "e11_mass_g": "12", "e11_confirmed": "on"}
    assert "2 eggs hatched" in text(hatch(keeper, nest, 1, 11, **again))


def test_everything_typed_stays_where_something_cannot_be_read(
    nest: Nest, tubs: list[str], keeper: Client
) -> None:
    answer = hatch(
        *(keeper, nest, 1, 2),
        enclosure=tubs[1],
        e1_mass_g="heavy",
        e1_code="BABY-1",
        e2_left="absent",
    )

    page = unescape(answer.content.decode())
    assert answer.status_code == 400
    one, other = blocks(answer)
    assert "“heavy” is no mass" in one
    assert "Say what is at both heels, or that nobody looked at either." in other
    assert 'value="BABY-1"' in page
    assert 'value="heavy"' in page
    assert f'<option value="{tubs[1]}" selected>' in page
    assert 'value="absent" checked' in page
    assert not Hatchling.objects.exists()


@pytest.mark.parametrize(
    ("on", "status", "said"),
    [
        ("", 400, "Say on which day they hatched."),
        ("1/3", 400, "This is no date. Write it as 2027-03-12."),
        ("2199-01-01", 409, "01 Jan 2199 has not come yet"),
    ],
)
def test_a_day_that_cannot_be_is_refused(
    on: str, status: int, said: str, nest: Nest, keeper: Client
) -> None:
    answer = hatch(keeper, nest, 1, on=on)

    assert answer.status_code == status
    assert said in text(answer)


def test_an_egg_that_left_the_box_is_refused_beside_it(
    nest: Nest, keeper: Client
) -> None:
    EggPlace.objects.filter(egg=nest.eggs[0]).update(until_at=timezone.now())

    answer = hatch(keeper, nest, 1, 2)

    assert answer.status_code == 409
    here, gone = blocks(answer)
    assert "not in this box" in gone
    assert "egg 1 of C-mill does not lie in box BX-mill" in gone
    assert "does not lie" not in here


def test_a_code_that_is_taken_and_a_full_enclosure_are_told(
    nest: Nest, tubs: list[str], keeper: Client
) -> None:
    StayFactory.create(animal=AnimalFactory.create(code="V-1"), enclosure_id=tubs[0])

    answer = hatch(keeper, nest, 1, enclosure=tubs[0], e1_code="V-1")

    [one] = blocks(answer)
    assert "egg 1 of C-mill: there is an animal V-1 already" in one
    assert "T-1" in text(answer).partition("Hatched on")[0]
    assert "T-1, Nursery: 1 animal" in one


def test_no_egg_is_not_nothing(nest: Nest, keeper: Client) -> None:
    assert "No egg is chosen" in text(keeper.post(PAGE, {}, follow=True))


def test_heels_are_not_asked_of_a_species_without_the_mark(
    nest: Nest, keeper: Client
) -> None:
    profile = CareProfile.objects.get()
    text_ = profile.source_text.replace("mark: heel_spur", "mark: none")
    CareProfile.objects.update(source_text=text_)

    [first] = keys(nest, 1)
    answer = keeper.get(f"{PAGE}?egg={first}")

    assert "Left heel" not in text(answer)
    assert "Hatchlings of this species are not sexed by their heels." in text(answer)
    assert "1 egg hatched" in text(
        hatch(keeper, nest, 1, e1_left="present", e1_right="present")
    )
    assert not SpurCheck.objects.exists()


def test_without_a_profile_no_band_is_promised(nest: Nest, keeper: Client) -> None:
    CareProfile.objects.all().delete()

    [first] = keys(nest, 1)

    assert "The care profile does not say what a hatchling weighs." in text(
        keeper.get(f"{PAGE}?egg={first}")
    )
    assert "1 egg hatched" in text(hatch(keeper, nest, 1, e1_mass_g="40"))


def test_who_may_not_record_is_refused(nest: Nest, visitor: Visitor) -> None:
    assert visitor(Role.VET).get(PAGE).status_code == 403
    assert hatch(visitor(Role.VET), nest, 1).status_code == 403
    assert set(Egg.objects.values_list("state", flat=True)) == {"incubating"}


def test_the_page_takes_the_same_queries_for_many(
    nest: Nest, tubs: list[str], keeper: Client
) -> None:
    some, many = (
        "&".join(f"egg={key}" for key in keys(nest, *range(1, most)))
        for most in (2, 12)
    )
    keeper.get(f"{PAGE}?{some}")
    one = queries_of(lambda: keeper.get(f"{PAGE}?{some}"))

    assert queries_of(lambda: keeper.get(f"{PAGE}?{many}")) == one
