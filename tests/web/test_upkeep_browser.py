"""Keeping a cabinet in a real browser, on a telephone: readings move the remaining life, a change starts it anew.

The studio is the demo's, invented; nothing is replaced by a stand-in. Every page by axe, at 320, 360 and 1280 px.
"""

from __future__ import annotations

import datetime

import pytest
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.urls import reverse

from web.conftest import PASSWORD
from web.test_browser import CHROMIUM, SMALL, TAGS

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"),
]


class TestUpkeep(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def loop(self, monkeypatch):
        monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the driver runs a loop in this thread

    def setUp(self):
        from axe_playwright_python.sync_playwright import Axe
        from django.contrib.auth.hashers import make_password
        from playwright.sync_api import sync_playwright

        from services import studio
        from stillroom.records.store import first_user

        user = first_user(
            username="ada",
            full_name="Ada Invented",
            password_hash=make_password(PASSWORD),
            organisation="Works",
        )
        self.assessed = datetime.date.today() - datetime.timedelta(days=30)
        self.cabinet, _ = studio.keep_studio(
            user.memberships.get().organisation, user, assessed=self.assessed, calibrated=(self.assessed,)
        )
        self.driver = sync_playwright().start()
        self.browser = self.driver.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        self.page = self.browser.new_context().new_page()
        self.page.set_default_timeout(20_000)
        self.axe = Axe()

    def tearDown(self):
        self.browser.close()
        self.driver.stop()

    def look(self, name: str) -> None:
        for width in (1280, 360, 320):
            self.page.set_viewport_size({"width": width, "height": 740})
            found = self.axe.run(self.page, options={"runOnly": TAGS}).response["violations"]
            told = [(item["id"], [node["html"][:120] for node in item["nodes"][:3]]) for item in found]
            assert told == [], (name, width)
            assert self.page.evaluate(SMALL) == [], (name, width)
            assert self.page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
        self.page.set_viewport_size({"width": 360, "height": 740})

    def open(self, name: str, *key: str, **query: str) -> None:
        asked = "&".join(f"{field}={value}" for field, value in query.items())
        self.page.goto(self.live_server_url + reverse(name, args=key) + (f"?{asked}" if asked else ""))

    def send(self, words: str) -> None:
        with self.page.expect_navigation(wait_until="load"):
            self.page.locator("main").get_by_role("button", name=words, exact=True).click()

    def read(self, n: int, point: str, value: str) -> None:
        self.page.locator(f"[name=point_{n}][value='{point}']").check(force=True)
        self.page.fill(f"[name=value_{n}]", value)

    def test_readings_move_the_life_and_a_change_starts_it_anew(self):
        page, key = self.page, self.cabinet.key
        self.open("login")
        page.fill("[name=username]", "ada")
        page.fill("[name=password]", PASSWORD)
        with page.expect_navigation():
            page.locator("main button").click()
        for name in ("instruments", "instrument-new", "savings"):
            self.open(name)
            self.look(name)
        self.open("savings", cabinet=key)
        self.send("Compare")
        self.look("savings, wrong")
        self.open("visit", key)
        self.look("visit")
        box = page.locator("label", has_text="Exhaust").first.bounding_box()
        assert box["height"] >= 44 and box["width"] >= 100  # one thumb
        self.send("Keep the readings")
        assert page.title().startswith("Error: ")
        self.look("visit, wrong")
        self.read(1, "cabinet", "1,1")
        page.locator("summary", has_text="Reading 2").click()
        self.read(2, "exhaust", "0.5")
        self.send("Keep the readings")
        self.look("answer")
        before, after = page.locator(".verdict dd").all_inner_texts()
        assert page.locator(".verdict .word").inner_text() == "As expected"
        assert before != after
        since = page.locator(".facts").inner_text()
        assert f"{self.assessed:%-d %B %Y}" in since
        self.open("filter-change", key)
        self.look("filter")
        page.fill("[name=serial_1]", "F-9")
        self.send("Keep the change")
        self.look("filter, wrong")
        page.check("[name=leak][value=passed]")
        page.fill("[name=method]", "photometer scan")
        self.send("Keep the change")
        self.look("filter, changed")
        today = f"{datetime.date.today():%-d %B %Y}"
        assert f"put in on {today}" in page.locator(".facts").inner_text()
        sheet = page.locator("a", has_text="Spent-filter sheet").get_attribute("href")
        answer = page.request.get(self.live_server_url + sheet)
        assert answer.body().startswith(b"%PDF-")
        self.open("sensor", key)
        self.look("sensor")
