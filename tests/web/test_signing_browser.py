"""From the verdict to the door in a real browser: sign, print, read the label's code, open it without log-in, withdraw.

The studio is the demo's, invented; nothing is replaced by a stand-in. Every page by axe, at 320, 360 and 1280 px.
Where STILLROOM_PICTURES names a folder, each page is kept there as a picture.
"""

from __future__ import annotations

import datetime
import os
from pathlib import Path

import pytest
import zxingcpp
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.urls import reverse

from documents.reading import picture, squeezed, text
from web.conftest import PASSWORD
from web.test_browser import CHROMIUM, SMALL, TAGS

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"),
]


class TestSigning(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def loop(self, monkeypatch):
        monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the driver runs a loop in this thread

    def setUp(self):
        from axe_playwright_python.sync_playwright import Axe
        from django.contrib.auth.hashers import make_password
        from playwright.sync_api import sync_playwright

        from services import studio
        from stillroom.records.models import Membership, User
        from stillroom.records.store import conclude, first_user, keep_file, new_draft, update_draft
        from stillroom.records.trail import writing

        user = first_user(
            username="ada",
            full_name="Ada Invented",
            password_hash=make_password(PASSWORD),
            organisation="Works",
        )
        organisation = user.memberships.get().organisation
        with writing(None, user, reason="a second person comes"):
            second = User.objects.create(username="bob", full_name="Bob Invented", password=user.password)
            Membership.objects.create(user=second, organisation=organisation, role="validator")
        assessed = datetime.date.today() - datetime.timedelta(days=3)
        self.case = new_draft(organisation, user, title="Studio", inputs=studio.inputs(assessed))
        file = keep_file(organisation, user, name="inventory-studio.csv", content=studio.CONTENT)
        update_draft(self.case, user, inventory=file)
        conclude(self.case, user, record=studio.record(assessed))
        self.driver = sync_playwright().start()
        self.browser = self.driver.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        self.page = self.browser.new_context().new_page()
        self.axe = Axe()

    def tearDown(self):
        self.browser.close()
        self.driver.stop()

    def look(self, name: str, page=None) -> None:
        page = page or self.page
        page.set_default_timeout(20_000)
        for width in (1280, 360, 320):
            page.set_viewport_size({"width": width, "height": 740})
            found = self.axe.run(page, options={"runOnly": TAGS}).response["violations"]
            told = [(item["id"], [node["html"][:120] for node in item["nodes"][:3]]) for item in found]
            assert told == [], (name, width)
            assert page.evaluate(SMALL) == [], (name, width)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
            if kept := os.environ.get("STILLROOM_PICTURES"):
                page.screenshot(path=Path(kept) / f"{name}-{width}.png", full_page=True)

    def press(self, words: str, role: str = "button") -> None:
        with self.page.expect_navigation(wait_until="load"):
            self.page.locator("main").get_by_role(role, name=words, exact=True).click()

    def paper(self, name: str) -> bytes:
        link = self.page.locator(f".papers a[href$='/{name}']").get_attribute("href")
        return self.page.request.get(self.live_server_url + link).body()

    def test_from_the_verdict_to_the_door(self):
        page = self.page
        page.goto(self.live_server_url + reverse("login"))
        page.fill("[name=username]", "ada")
        page.fill("[name=password]", PASSWORD)
        with page.expect_navigation():
            page.locator("main button").click()
        page.goto(self.live_server_url + reverse("result", args=[self.case.key]))
        self.press("Sign", "link")
        self.look("sign")
        self.press("Sign")
        assert page.title().startswith("Error: ")
        self.look("sign-wrong")
        page.fill("[name=name]", "Cabinet 3")
        page.locator("[name=meaning][value='approved and responsible']").check(force=True)
        page.fill("[name=username]", "ada")
        page.fill("[name=password]", PASSWORD)
        self.press("Sign")
        self.look("validation")
        said = dict(
            zip(page.locator("dl.facts dt").all_inner_texts(), page.locator("dl.facts dd").all_inner_texts(), strict=True)
        )  # fmt: skip
        self.review(page.url)
        page.reload()
        self.look("reviewed")
        for name in ("label.pdf", "record.pdf", "shelves.pdf", "label-a6.pdf"):
            assert squeezed("Bob Invented, reviewed") in squeezed(text(self.paper(name))), name
            paper = self.paper(name)
            for part in (said["Name"], said["Meaning"], said["Trail"].split()[-1]):
                assert squeezed(part) in squeezed(text(paper)), (name, part)
        for name in ("label.pdf", "label-a6.pdf"):
            (code,) = zxingcpp.read_barcodes(picture(self.paper(name)))
        stranger = self.browser.new_context().new_page()
        self.read_label(stranger, code.text, "This label holds")
        self.look("label", stranger)
        page.locator("a.back").click()
        self.look("cabinet")
        page.goto(self.live_server_url + reverse("cabinets"))
        self.look("cabinets")
        page.goto(self.live_server_url + reverse("trail") + "?whole=1")
        assert "The log is whole." in page.locator("main").inner_text()
        self.look("trail")
        page.goto(self.live_server_url + reverse("result", args=[self.case.key]))
        self.press("Signed: validation V1", "link")
        self.press("Withdraw", "link")
        self.look("withdraw")
        page.fill("[name=reason]", "a bottle broke")
        page.fill("[name=password]", PASSWORD)
        self.press("Withdraw")
        self.look("withdrawn")
        self.read_label(stranger, code.text, "This label no longer holds")
        self.look("label-withdrawn", stranger)

    def review(self, address: str) -> None:
        """As a second person, in a browser of their own."""
        page = self.browser.new_context().new_page()
        page.goto(address)
        page.fill("[name=username]", "bob")
        page.fill("[name=password]", PASSWORD)
        with page.expect_navigation():
            page.locator("main button").click()
        with page.expect_navigation():
            page.get_by_role("link", name="Review it", exact=True).click()
        self.look("review", page)
        page.fill("[name=username]", "bob")
        page.fill("[name=password]", PASSWORD)
        with page.expect_navigation():
            page.get_by_role("button", name="Sign as reviewed").click()
        assert page.url == address
        page.context.close()

    def read_label(self, page, address: str, words: str) -> None:
        """As a telephone's camera opens it: scheme and host in any case, the rest as printed."""
        assert page.goto(address).status == 200
        assert page.locator(".verdict .word").inner_text() == words
        assert page.locator("nav").count() == 0
