"""A real browser over the pages: nothing foreign, nothing wrong, nothing sideways."""

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from PIL import Image
from playwright.sync_api import (
    Browser,
    BrowserContext,
    FilePayload,
    Page,
    sync_playwright,
)
from pytest_django import Settings
from pytest_django.live_server_helper import LiveServer

from clutches.models import Egg, EggCheck, SpurCheck
from core.roles import Role
from husbandry.actions.review import review_night
from husbandry.models import Acknowledgement, Finding
from placements.models import Application
from tests.clutches.nest import make_nest
from tests.factories import (
    PASSWORD,
    AnimalFactory,
    EnclosureFactory,
    RoomFactory,
    UserFactory,
)
from tests.nightly.world import MORNING, ON, World, ambient, make_world, record, wobble

NO_BROWSER = (
    "There is no Chromium for the page tests. Install it (Debian and Ubuntu: sudo "
    "apt-get install chromium) or set SPURBOOK_CHROMIUM to a browser's path."
)
SIZES = {"phone": (390, 844), "desk": (1440, 900)}
NAMELESS = """[...document.querySelectorAll("#content input, select, textarea")]
.filter(e => !["hidden", "submit"].includes(e.type) && !e.ariaLabel && !e.labels.length)
.map(e => e.name)"""
SIDEWAYS = "document.documentElement.scrollWidth - document.documentElement.clientWidth"


def _chromium() -> str:
    """Return the browser's path; without one the test fails and says what to do."""
    found = os.environ.get("SPURBOOK_CHROMIUM") or shutil.which("chromium")
    if not found:
        pytest.fail(NO_BROWSER)
    return found


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    path = _chromium()
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        # Playwright's loop runs in this thread, and Django then refuses to touch the
        # database although nothing here is asynchronous.
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        # Chromium's own sandbox does not start for root, as in a container.
        browser = playwright.chromium.launch(
            executable_path=path, args=["--no-sandbox"] if os.geteuid() == 0 else []
        )
        yield browser
        browser.close()


@pytest.fixture
def world(browser: Browser, transactional_db: None) -> World:
    world = make_world()
    record(world.ambient, ON, ambient)
    record(world.basking, ON, lambda day, step: (22.0 + wobble(step), None, 3.0 * day))
    review_night(site=world.site, on=ON, by=None, at=MORNING)
    UserFactory.create(username="ana", role=Role.OWNER.value)
    return world


@dataclass
class Visit:
    """A page and all that went wrong on it."""

    page: Page
    server: str
    wrong: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        self.page.goto(self.server + path)

    def note_everything(self) -> None:
        self.page.on(
            "console",
            lambda m: (
                self.wrong.append(m.text) if m.type in {"error", "warning"} else None
            ),
        )
        self.page.on("pageerror", lambda e: self.wrong.append(str(e)))
        # A picture that was still under way when the page was left is no fault.
        self.page.on(
            "requestfailed",
            lambda r: (
                None if r.failure == "net::ERR_ABORTED" else self.wrong.append(r.url)
            ),
        )
        self.page.on(
            "request",
            lambda r: None if self._is_ours(r.url) else self.wrong.append(r.url),
        )

    def _is_ours(self, url: str) -> bool:
        return urlsplit(url).netloc == urlsplit(self.server).netloc

    def sign_in(self) -> None:
        self.open("/me/")
        self.page.get_by_label("Name").fill("ana")
        self.page.get_by_label("Password").fill(PASSWORD)
        self.page.get_by_role("button", name="Sign in").click()
        self.page.get_by_role("heading", level=1).wait_for()

    def picture(self, attribute: str) -> object:
        """Return what the first picture is, once it has been loaded."""
        image = self.page.locator("picture img").first
        image.scroll_into_view_if_needed()
        image.evaluate("image => image.decode()")
        return image.evaluate(f"image => image.{attribute}")

    def check(self) -> None:
        assert self.page.evaluate(SIDEWAYS) == 0, self.page.url
        assert self.wrong == [], self.page.url


@pytest.fixture
def visit(
    request: pytest.FixtureRequest,
    browser: Browser,
    world: World,
    live_server: LiveServer,
) -> Iterator[Visit]:
    size, scheme = request.param
    width, height = SIZES[size]
    context: BrowserContext = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=scheme
    )
    context.set_default_timeout(15_000)
    visit = Visit(context.new_page(), live_server.url)
    visit.note_everything()
    yield visit
    # The server must have answered everything before the tables are emptied.
    visit.page.wait_for_load_state("networkidle")
    context.close()


@pytest.mark.parametrize(
    "visit", [("phone", "dark"), ("desk", "light")], indirect=True, ids=str
)
def test_a_morning_is_read_and_acknowledged(visit: Visit) -> None:
    visit.sign_in()
    visit.check()
    visit.open("/?night=2026-03-01")
    assert visit.picture("naturalWidth") in {350, 720}
    visit.check()

    visit.page.get_by_text("Numbers and sources").click()
    visit.page.get_by_text("I have seen it", exact=True).click()
    visit.page.get_by_label("Note").fill("Lamp ordered")
    visit.page.get_by_role("button", name="Note that I have seen it").click()
    visit.page.get_by_text("Noted: you have seen below target").wait_for()

    visit.check()
    assert visit.page.get_by_text("“Lamp ordered”").is_visible()
    assert Acknowledgement.objects.get().note == "Lamp ordered"


@pytest.mark.parametrize(
    "visit", [("phone", "light"), ("desk", "dark")], indirect=True, ids=str
)
def test_every_other_page_stands_too(visit: Visit, world: World) -> None:
    finding = Finding.objects.get()
    visit.sign_in()

    for path in (
        f"/findings/{finding.pk}/",
        "/animals/",
        f"/animals/{world.animal.pk}/",
        f"/animals/{world.animal.pk}/growth/?mass=abc",
        "/rounds/",
        "/breeding/",
        "/breeding/pairs/",
        "/packets/",
        "/me/",
        "/admin/",
        "/admin/husbandry/finding/",
        "/admin/husbandry/careprofile/add/",
        "/admin/husbandry/targetoverride/add/",
    ):
        visit.open(path)
        visit.check()


@pytest.mark.parametrize(
    "visit", [("phone", "dark"), ("desk", "light")], indirect=True, ids=str
)
def test_eggs_are_tapped_candled_and_taken_back(visit: Visit) -> None:
    nest = make_nest(eggs=30, rows=5, columns=8)
    visit.sign_in()
    visit.open("/breeding/boxes/BX-mill/")
    visit.check()
    # Eight columns lie side by side on a phone, each wide enough for a finger.
    grid = visit.page.locator(".nest")
    assert grid.evaluate("one => one.scrollWidth - one.clientWidth") == 0
    sizes = "all => all.map(e => Math.min(e.offsetWidth, e.offsetHeight))"
    assert set(visit.page.eval_on_selector_all(".tap .egg", sizes)) == {44}

    visit.page.locator(".tap", has_text="11").click()
    visit.page.get_by_label("Or name places").fill("A1–C1")
    visit.page.locator(".pick", has_text="no vessels").click()
    visit.page.get_by_role("button", name="Record it").click()
    visit.page.get_by_text("Kept: no vessels at 4 eggs.").wait_for()
    visit.check()
    checks = EggCheck.objects.filter(struck_at__isnull=True)
    assert {check.egg.number for check in checks} == {1, 2, 3, 11}

    visit.page.get_by_role("button", name="Take it back").click()
    visit.page.get_by_text("Taken back: no vessels at 4 eggs").wait_for()
    assert not checks.all().exists()
    Egg.objects.filter(number=1).update(state="pipped", pipped_on=nest.clutch.laid_on)
    for path in ("clutches/C-mill", f"eggs/{nest.eggs[0].pk}"):
        visit.open(f"/breeding/{path}/")
        visit.check()


# Whatever is tapped and lower than a finger; a tick or tap has its label to be hit.
LOW = """[...document.querySelectorAll("#content :is(a, button, select, summary," +
  " input:not([type=hidden]):not([type=checkbox]):not([type=radio]), .pick > span)")]
.filter(e => e.checkVisibility() && e.offsetHeight < 44)
.map(e => e.outerHTML.slice(0, 80))"""
EVERYWHERE = [(size, scheme) for size in SIZES for scheme in ("light", "dark")]


def tap_heels(visit: Visit, word: str) -> None:
    for heel in ("Left heel", "Right heel"):
        group = visit.page.get_by_role("group", name=heel).first
        group.locator(".pick", has_text=word).click()


def check_targets(visit: Visit) -> None:
    assert visit.page.evaluate(LOW) == []
    visit.check()


@pytest.mark.parametrize("visit", EVERYWHERE, indirect=True, ids=str)
def test_a_box_hatches(visit: Visit) -> None:
    nest = make_nest(eggs=6)
    EnclosureFactory.create(
        code="T-1", kind="tub", room=RoomFactory.create(site=nest.site)
    )
    visit.sign_in()
    visit.open("/breeding/boxes/BX-mill/hatch/")
    check_targets(visit)
    visit.open("/breeding/boxes/BX-mill/")
    visit.page.get_by_label("Or name places").fill("row 1")
    visit.page.locator(".pick", has_text="hatched").click()
    visit.page.get_by_role("button", name="Record it").click()
    visit.page.get_by_role("heading", name="Hatching in box BX-mill").wait_for()
    check_targets(visit)

    visit.page.get_by_label("Mass").first.fill("12")
    tap_heels(visit, "present")
    visit.page.get_by_role("button", name="Record 3 hatchlings").click()
    visit.page.get_by_text("is not plausible").first.wait_for()
    # A browser notes the refusal, which is meant, as an error of the page.
    assert ["409" in one for one in visit.wrong] == [True]
    visit.wrong.clear()
    check_targets(visit)

    visit.page.get_by_label("Weighed again, the mass is right").check()
    visit.page.get_by_role("button", name="Record 3 hatchlings").click()
    visit.page.get_by_text("3 eggs hatched on").wait_for()
    check_targets(visit)
    assert [look.left for look in SpurCheck.objects.all()] == ["present"]


@pytest.mark.parametrize("visit", EVERYWHERE, indirect=True, ids=str)
def test_heels_are_looked_at_and_photographed(
    visit: Visit, settings: Settings, tmp_path: Path
) -> None:
    settings.MEDIA_ROOT = tmp_path
    for code in ("C-1-01", "C-1-02"):
        AnimalFactory.create(
            code=code, sex="unknown", sex_basis="not_sexed", sex_confidence="uncertain"
        )
    file = BytesIO()
    Image.new("RGB", (640, 480), (90, 140, 60)).save(file, "JPEG")
    photo = FilePayload(name="heel.jpg", mimeType="image/jpeg", buffer=file.getvalue())
    visit.sign_in()
    visit.open("/breeding/sexing/?animal=C-1-01")
    check_targets(visit)

    tap_heels(visit, "absent")
    visit.page.get_by_label("Photograph").set_input_files(photo)
    visit.page.get_by_role("button", name="Record the look").click()
    visit.page.get_by_text("left absent, right absent").first.wait_for()

    check_targets(visit)
    visit.open(f"/animals/{SpurCheck.objects.get().animal_id}/")
    visit.page.get_by_text("Looks at its heels").click()
    visit.check()
    photo_link = visit.page.get_by_role("link", name="Photograph")
    assert photo_link.is_visible()
    address = photo_link.get_attribute("href")
    assert visit.page.request.get(f"{visit.server}{address}").ok


@pytest.mark.parametrize("visit", [("phone", "dark")], indirect=True, ids=str)
def test_a_calendar_is_subscribed_to_and_given_up(visit: Visit) -> None:
    visit.sign_in()

    visit.page.get_by_label("What reads it").fill("my phone")
    visit.page.get_by_role("button", name="Make a calendar address").click()
    address = visit.page.get_by_label("Address", exact=True)
    shown = address.input_value()
    visit.check()
    assert shown.startswith(f"{visit.server}/calendar/")

    visit.open("/me/")
    visit.check()
    visit.page.get_by_role("button", name="Revoke the address for my phone").click()
    visit.page.get_by_text("The address for my phone is revoked.").wait_for()
    visit.check()


@pytest.mark.parametrize("visit", [("phone", "light")], indirect=True, ids=str)
def test_no_column_of_a_table_lies_out_of_sight(visit: Visit, world: World) -> None:
    visit.sign_in()

    for path in ("/animals/", f"/animals/{world.animal.pk}/"):
        visit.open(path)
        hidden = visit.page.eval_on_selector_all(
            ".scroll", "all => all.map(one => one.scrollWidth - one.clientWidth)"
        )
        assert hidden, path
        assert set(hidden) == {0}, path


@pytest.mark.parametrize("visit", [("desk", "light")], indirect=True, ids=str)
def test_every_input_of_the_back_office_has_a_name(visit: Visit) -> None:
    visit.sign_in()

    for form in ("stay", "weighing", "animal", "setup", "readingimport"):
        visit.open(f"/admin/husbandry/{form}/add/")
        assert visit.page.evaluate(NAMELESS) == [], form


@pytest.mark.parametrize("visit", [("phone", "dark")], indirect=True, ids=str)
def test_a_room_dark_at_six_stays_dark(visit: Visit) -> None:
    visit.sign_in()
    visit.open("/?night=2026-03-01")

    ground = visit.page.evaluate("getComputedStyle(document.body).backgroundColor")
    picture = visit.picture("currentSrc")

    assert ground == "rgb(22, 20, 17)"
    assert "light=dim" in str(picture)
    assert "size=narrow" in str(picture)


def test_without_a_browser_the_tests_fail_and_say_how_to_get_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("SPURBOOK_CHROMIUM", "")
    monkeypatch.setattr(shutil, "which", lambda _: None)

    with pytest.raises(pytest.fail.Exception, match="apt-get install chromium"):
        _chromium()


def _pick(page: Page, question: str, word: str) -> None:
    group = page.get_by_role("group", name=question)
    group.get_by_label(word, exact=True).check()


def _apply(visit: Visit, world: World) -> None:
    """Send the form, first without two answers that it needs."""
    page = visit.page
    visit.open("/apply/")
    visit.check()
    assert page.evaluate(NAMELESS) == []
    trap = page.get_by_label("Leave this empty")
    assert trap.evaluate("field => field.getBoundingClientRect().right < 0")
    page.get_by_label("Your name").fill("Household Quay")
    page.get_by_label("Telephone and address").fill("3 Quay")
    page.get_by_label("Which species?").select_option(world.animal.species.code)
    _pick(page, "Which reptiles have you kept?", "Other reptiles")
    _pick(page, "Is its enclosure ready?", "It is complete and running")
    _pick(page, "Which lamp gives UVB there?", "A T5 tube")
    _pick(page, "Where you live", "I own it")
    page.get_by_role("button", name="Send the application").click()

    page.get_by_text("Nothing was sent yet").wait_for()
    assert page.get_by_label("Your name").input_value() == "Household Quay"
    visit.wrong.clear()  # a browser tells of the 400 by itself
    visit.check()
    _pick(page, "Do you measure temperature", "Yes")
    _pick(page, "Does a child under five", "Yes")
    page.get_by_role("button", name="Send the application").click()
    page.get_by_text("We have your application.").wait_for()
    visit.check()


@pytest.mark.parametrize(
    "visit", [("phone", "light"), ("desk", "dark")], indirect=True, ids=str
)
def test_somebody_applies_and_withdraws(visit: Visit, world: World) -> None:
    """A page that sends no referrer, and so no origin, still takes a form."""
    _apply(visit, world)
    own_page = visit.page.url

    visit.page.get_by_text("Withdraw this application").click()
    visit.page.get_by_role("button", name="Withdraw it").click()

    visit.page.get_by_text("This application is withdrawn.").wait_for()
    assert visit.page.url == own_page
    visit.check()
    row = Application.objects.get()
    assert (row.state, row.home.name) == ("withdrawn", "Household Quay")


@pytest.mark.parametrize(
    "visit", [("phone", "dark"), ("desk", "light")], indirect=True, ids=str
)
def test_applications_are_read_and_answered(visit: Visit, world: World) -> None:
    _apply(visit, world)
    Application.objects.update(state="accepted")
    row = Application.objects.get()
    visit.sign_in()

    for path in (
        "/applications/",
        f"/applications/for/{world.animal.pk}/",
        f"/applications/{row.pk}/",
    ):
        visit.open(path)
        visit.check()
        assert visit.page.evaluate(NAMELESS) == []
    visit.page.get_by_role("button", name="Give a new address").click()
    visit.page.get_by_text("It is shown this once.").wait_for()
    visit.check()
