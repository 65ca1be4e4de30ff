"""The closed loop in a real browser, by one person, from an empty database with the demo's files (invented).

Assess, sign, read the label's code at the door, add a chemical, see the difference, sign again, read an instrument,
watch the remaining life move, change the filter, see what is due. Links and buttons only: no address is typed but
the label's, which is read from the printed code. Nothing is replaced by a stand-in; the assessment has 200 draws
instead of 1000, so that it is quick. Where STILLROOM_PICTURES names a folder, each station is kept there at 1280 and 360 px.
"""

from __future__ import annotations

import datetime
import os
import tomllib
from pathlib import Path

import pytest
import zxingcpp
from django.contrib.staticfiles.testing import StaticLiveServerTestCase

from documents.reading import picture, squeezed, text
from services.studio import FILES
from web.conftest import PASSWORD
from web.test_browser import CHROMIUM, SMALL

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"),
]
PEROXIDE = {"name": "Hydrogen peroxide 30 %", "cas": "7722-84-1", "amount": "500", "unit": "mL", "count": "1"}
EMPTY = """() => document.querySelectorAll('tbody input, tbody select').forEach(entry => {
  entry.value = ''; entry.setAttribute('value', ''); })"""
ETHER = {"name": "Diethyl ether", "cas": "60-29-7", "amount": "2.5", "unit": "L", "count": "1"}


class TestLoop(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def loop(self, monkeypatch):
        monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the driver runs a loop in this thread

    def setUp(self):
        from playwright.sync_api import sync_playwright

        self.driver = sync_playwright().start()
        self.browser = self.driver.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        self.page = self.fresh()
        self.today = datetime.date.today()

    def tearDown(self):
        self.browser.close()
        self.driver.stop()

    def fresh(self, width: int = 1280):
        """A browser that knows nobody: no cookie, nothing stored."""
        page = self.browser.new_context(viewport={"width": width, "height": 800}).new_page()
        page.set_default_timeout(90_000)
        return page

    def look(self, name: str, page=None) -> None:
        """Nothing overflows and every target can be hit, on a table and in a hand; kept as a picture where asked."""
        page = page or self.page
        before = page.viewport_size
        for width in (1280, 360):
            page.set_viewport_size({"width": width, "height": 800})
            assert page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
            assert page.evaluate(SMALL) == [], (name, width)
            if kept := os.environ.get("STILLROOM_PICTURES"):
                page.screenshot(path=Path(kept) / f"{name}-{width}.png", full_page=True)
        page.set_viewport_size(before)

    def press(self, words: str, role: str = "button", page=None, **by) -> None:
        page = page or self.page
        with page.expect_navigation(wait_until="load"):
            page.locator("main").get_by_role(role, name=words, **({"exact": True} | by)).first.click()

    def go(self, words: str, where: str = "nav", page=None) -> None:
        page = page or self.page
        with page.expect_navigation(wait_until="load"):
            page.locator(where).get_by_role("link", name=words, exact=True).first.click()

    def verdict(self) -> str:
        return self.page.locator(".verdict .word").first.inner_text()

    def facts(self, page=None) -> dict[str, str]:
        part = (page or self.page).locator("dl.facts").first
        return dict(
            zip(part.locator("dt").all_inner_texts(), part.locator("dd").all_inner_texts(), strict=True)
        )

    def few_draws(self) -> None:
        from stillroom.records.models import Assessment
        from stillroom.records.store import update_draft

        case = Assessment.objects.get()
        update_draft(case, case.created_by, draws=200)

    def first_start(self) -> None:
        page = self.page
        page.goto(self.live_server_url)
        for name, value in (("organisation", "Museum of Small Things (invented)"), ("full_name", "Ada Invented"),
                            ("username", "ada"), ("password", PASSWORD)):  # fmt: skip
            page.fill(f"[name={name}]", value)
        self.press("Make the first user")

    def assess(self) -> None:
        """The intake's pages, with the demo's files and what stands in its room file."""
        page = self.page
        asked = tomllib.loads((FILES / "room-studio.toml").read_text("utf-8"))
        self.press("New assessment", "link")
        page.fill("[name=title]", "Picture studio (invented)")
        self.press("Continue")
        self.few_draws()
        page.set_input_files("[name=file]", FILES / "inventory-studio.csv")
        self.press("Continue")
        self.press("Continue", "link")
        page.check("[name=choice][value=file]")
        page.set_input_files("[name=file]", FILES / "cabinet.toml")
        self.press("Continue")
        self.press("Continue")
        room = asked["room"]
        for name, value in (("name", room["name"]), ("volume", room["volume_m3"]), ("changes", room["air_changes_per_h"]),
                            ("temperature", room["temperature_C"]), ("humidity", 100 * room["relative_humidity"])):  # fmt: skip
            page.fill(f"[name={name}]", str(value))
        page.check("[name=background][value=measured]")
        for n, vapour in enumerate(asked["background"], 1):
            page.fill(f"[name=vapour_{n}]", vapour["cas"])
            page.fill(f"[name=mg_{n}]", str(vapour["mg_m3"]))
        self.press("Continue")
        for n, key in enumerate(asked["limits"]["lists"], 1):
            page.select_option(f"[name={key}]", str(n))
        page.check(f"[name=ordering][value={asked['limits']['ordering']}]")
        self.press("Continue")
        self.press("Continue without", "link")
        page.fill("[name=fan_stop_hours]", str(asked["rules"]["fan_stop_hours"]))
        self.press("Continue")
        self.look("01-check")
        self.press("Get the verdict")

    def sign(self, new: str = "", by: str = "Sign") -> None:
        page = self.page
        self.press(by, "link")
        if new:
            page.fill("[name=name]", new)
        else:
            page.locator("[name=cabinet]").first.check(force=True)
        page.locator("[name=meaning][value='approved and responsible']").check(force=True)
        if page.locator("[name=username]").count():  # the first signature of a session
            page.fill("[name=username]", "ada")
        page.fill("[name=password]", PASSWORD)
        self.look("03-sign")
        self.press("Sign")

    def paper(self, words: str) -> bytes:
        with self.page.expect_download() as waited:
            self.page.locator(".papers").get_by_role("link", name=words, exact=True).click()
        return Path(waited.value.path()).read_bytes()

    def add(self, row: dict[str, str], alone: bool = False) -> None:
        """One row more in the table; `alone` empties the others."""
        page = self.page
        with page.expect_navigation(wait_until="load"):
            page.locator("main a.change[href*='/inventory/']").click()
        self.look("09-inventory")
        self.press("Add or change rows in a table", "link")
        if alone:
            page.evaluate(EMPTY)
        empty = page.locator("tbody tr").filter(has=page.locator("[name^=name_][value='']")).first
        for name, value in row.items():
            empty.locator(f"[name^={name}_]").fill(value)
        self.look("10-table")
        self.press("Continue")
        self.look("11-reading")
        self.press("Continue", "link")

    def test_the_loop(self):
        page = self.page
        self.first_start()
        self.assess()
        self.look("02-result")
        assert self.verdict() == "Approved with conditions"
        self.sign("Studio cabinet (invented)")
        self.look("04-validation")
        assert page.locator("h1").inner_text() == "Validation V1: stands"
        first = self.read_code()
        stranger = self.fresh(360)
        self.open_label(stranger, first, "This label holds", "05-label")
        self.at_the_cabinet("The filter: forecast, changes")
        self.change_the_filter(self.today - datetime.timedelta(days=60), "F-1")
        self.look("06-filter")
        self.open_label(stranger, first, "This label holds", "07-label-filter-older")
        assert "sooner than the label says" in stranger.locator(".verdict").inner_text()
        self.a_bottle_more()
        second = self.read_code()
        assert second != first
        self.open_label(stranger, first, "This label no longer holds", "14-label-superseded")
        assert "Hydrogen peroxide".lower() not in stranger.locator("main").inner_text().lower()
        self.open_label(stranger, second, "This label holds", "15-label-new")
        assert "hydrogen peroxide" in stranger.locator("main").inner_text()
        self.instrument()
        self.readings()
        self.open_label(stranger, second, "Ask before you use this cabinet", "21-label-in-doubt")
        self.what_is_due()
        self.open_label(stranger, second, "This label holds", "26-label-after")
        self.what_must_be_refused()
        self.who_may_not_sign()

    def a_bottle_more(self) -> None:
        page = self.page
        self.at_the_cabinet()
        self.look("08-cabinet")
        self.press("Change the contents, the room or the filters")
        self.add(PEROXIDE)
        self.press("Get the verdict")
        assert self.verdict() == "Approved with conditions"
        self.press("See the difference from 1", "link")
        self.look("12-difference")
        said = page.locator("main").inner_text()
        came, _, rest = said.partition("What came out")
        assert "Hydrogen peroxide 30 %" in came and "1 × 500 mL" in came
        outcomes = page.get_by_role("table", name="Outcomes").locator("tbody th").all_inner_texts()
        for clock in ("Replace the filter after", "Limit:", "Reserve:", "Saturation:", "Age:"):
            assert any(line.startswith(clock) for line in outcomes), clock
        neighbours = page.get_by_role("table", name="Neighbours that conflict").inner_text()
        assert "toluene + hydrogen peroxide" in neighbours and "kept apart by the plan" in neighbours
        assert "Containers stand where the shelf plan puts them." in rest
        self.sign(by="Sign 2")
        self.look("13-validation-2")
        assert page.locator("h1").inner_text() == "Validation V2: stands"

    def readings(self) -> None:
        """One that fits, by keyboard on a telephone; then one that nothing explains."""
        page = self.page
        self.at_the_cabinet("Enter a visit's readings")
        page.set_viewport_size({"width": 360, "height": 740})
        self.look("18-visit")
        self.by_keyboard("[name=point_1]", "Space")
        self.by_keyboard("[name=value_1]", "0", "Period", "1")
        self.by_keyboard("button.whole", "Enter")
        page.wait_for_url("**/visits/*/")
        page.set_viewport_size({"width": 1280, "height": 800})
        self.look("19-answer")
        assert self.verdict() == "As expected"
        before, after = page.locator(".verdict dd").all_inner_texts()
        assert before != after and before.split()[1] == "days"
        self.press("Enter more readings", "link")
        page.locator("[name=point_1][value='exhaust']").check(force=True)
        page.fill("[name=value_1]", "80")
        self.press("Keep the readings")
        self.look("20-answer-does-not-fit")
        assert self.verdict() == "Does not fit"
        assert page.locator(".verdict dd").all_inner_texts()[1] == "not derived"
        told = page.locator("main").inner_text()
        assert (
            told.index("Look at first")
            < told.index("do not rely on the filter")
            < told.index("Reading by reading")
        )

    def by_keyboard(self, selector: str, *keys: str) -> None:
        for _ in range(60):
            self.page.keyboard.press("Tab")
            if self.page.evaluate("selector => document.activeElement.matches(selector)", selector):
                break
        else:
            raise AssertionError(f"{selector} is not reached by Tab")
        for key in keys:
            self.page.keyboard.press(key)

    def what_is_due(self) -> None:
        """Before and after the filter is changed; what is nearest stands first, and each line leads to its place."""
        page = self.page
        self.go("Due")
        self.look("22-due")
        assert "Find out why" in page.locator("table.due tbody tr").first.inner_text()
        page.locator("table.due a").first.click()
        page.wait_for_url("**/cabinets/**")
        self.at_the_cabinet("The filter: forecast, changes")
        self.look("23-filter-before")
        old = self.facts()["Replace by"]
        self.change_the_filter(self.today, "F-2")
        self.look("24-filter-changed")
        new = self.facts()
        assert f"put in on {self.today:%-d %B %Y}" in new["Because"]
        assert self.day(new["Replace by"]) > self.day(old)
        self.go("Due")
        self.look("25-due-after")
        rows = [
            row.split("\n")[0] for row in page.locator("table.due tbody tr td:first-child").all_inner_texts()
        ]
        days = [self.day(row) for row in rows]
        assert days == sorted(days) and len(days) >= 4
        assert self.day(new["Replace by"]) in days
        for link in page.locator("main a[href^='#']").all():
            assert page.locator(link.get_attribute("href")).count() == 1, "a link that leads nowhere"

    def what_must_be_refused(self) -> None:
        page = self.page
        self.at_the_cabinet()
        self.press("Change the contents, the room or the filters")
        self.add(ETHER, alone=True)
        self.press("Get the verdict")
        self.look("27-refused")
        assert self.verdict() == "Not approved"
        assert "diethyl ether" in page.locator("main ol").first.inner_text()
        self.press("Sign", "link")
        self.look("28-refused-sign")
        assert page.locator("[name=meaning]").count() == 1
        assert page.locator("[name=meaning]").get_attribute("value") == "refused"

    def who_may_not_sign(self) -> None:
        """A second person who reads: sees the verdict and no way to sign, change or withdraw."""
        from django.contrib.auth.hashers import make_password

        from stillroom.records.models import Membership, Organisation, User
        from stillroom.records.trail import writing

        organisation = Organisation.objects.get()
        with writing(organisation, User.objects.get(), reason="a colleague comes"):
            user = User.objects.create(
                username="bo", full_name="Bo Invented", password=make_password(PASSWORD)
            )
            Membership.objects.create(user=user, organisation=organisation, role="reader")
        page = self.fresh()
        page.goto(self.live_server_url)
        page.fill("[name=username]", "bo")
        page.fill("[name=password]", PASSWORD)
        self.press("Sign in", page=page)
        page.locator("ul.cases a").first.click()
        page.wait_for_selector(".verdict .word")
        self.look("29-reader-result", page)
        assert page.locator("a[href*='/sign/'], form[action*='/change/']").count() == 0
        self.go("Cabinets", page=page)
        self.press("Studio cabinet (invented)", "link", page=page)
        self.look("30-reader-cabinet", page)
        doors = page.locator("main a").all_inner_texts()
        assert "The filter: forecast, changes" in doors and "Enter a visit's readings" not in doors
        page.locator("ul.cases a", has_text="V2").click()
        page.wait_for_selector("dl.facts")
        assert page.locator("a[href*='/withdraw/'], form").count() == 0

    def at_the_cabinet(self, link: str = "") -> None:
        self.go("Cabinets")
        self.press("Studio cabinet (invented)", "link")
        if link:
            self.press(link, "link")

    def day(self, words: str) -> datetime.date:
        return datetime.datetime.strptime(words.strip(), "%d %B %Y").date()

    def read_code(self) -> str:
        """The label's code, from the printed paper, which carries signature and trail too."""
        said = self.facts()
        label = self.paper("Door label, A5 (PDF)")
        for part in (said["Name"], said["Meaning"], said["Trail"].split()[-1]):
            assert squeezed(part) in squeezed(text(label)), part
        (code,) = zxingcpp.read_barcodes(picture(label))
        return code.text

    def open_label(self, page, address: str, words: str, name: str) -> None:
        """As a telephone's camera opens it, knowing nobody."""
        assert page.goto(address).status == 200
        assert page.locator(".verdict .word").inner_text() == words
        assert page.locator("nav, form, main a").count() == 0, "nothing but the label"
        assert "Ada" not in page.content()
        self.look(name, page)

    def change_the_filter(self, day: datetime.date, serial: str) -> None:
        page = self.page
        if not page.locator("[name=on]").is_visible():
            page.locator("summary", has_text="Enter a change").click()
        page.fill("[name=on]", day.isoformat())
        page.fill("[name=serial_1]", serial)
        page.check("[name=leak][value=passed]")
        page.fill("[name=method]", "photometer scan")
        self.press("Keep the change")

    def instrument(self) -> None:
        page = self.page
        self.go("Instruments")
        self.press("Add an instrument", "link")
        page.fill("[name=name]", "Detector 7 (invented)")
        self.look("16-instrument-new")
        page.check("[name=kind][value='photoionisation detector']")
        page.check("[name=lamp][value='10.6']")
        page.fill("[name=limit]", "0.01")
        page.fill("[name=substance_1]", "toluene")
        page.fill("[name=factor_1]", "0.5")
        page.fill("[name=source_1]", "manual, page 9 (invented)")
        self.press("Keep")
        self.look("17-instrument")
        self.press("Enter a calibration", "link")
        page.fill("[name=on]", (self.today - datetime.timedelta(days=30)).isoformat())
        page.fill("[name=due]", (self.today + datetime.timedelta(days=20)).isoformat())
        page.fill("[name=by]", "Ada Invented")
        self.press("Keep the calibration")
