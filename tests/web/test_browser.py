"""The job done in a real browser, and every page by the accessibility engine axe (WCAG 2.2 A and AA).

What axe cannot judge is measured here: the size of targets (WCAG 2.5.8: 24 px; ours 44 px), reflow at 320 px
(1.4.10), where the focus goes (2.4.3), and that nothing needs a script.
"""

from __future__ import annotations

import os
import shutil

import pytest
from django.contrib.staticfiles.testing import StaticLiveServerTestCase

from web.stubs import fake_assess, fake_papers
from web.test_filters import medium

CHROMIUM = (
    os.environ.get("STILLROOM_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
)
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
INVENTORY = "name\tcas\tamount\tunit\tcount\nToluene\t108-88-3\t2.5\tL\t2\nAcetone\t67-64-1\t1\tL\t1\n"
SMALL = """() => [...document.querySelectorAll('a, button, input:not([type=hidden]), select, textarea, summary')]
  .filter(e => e.getClientRects().length && getComputedStyle(e).visibility !== 'hidden')
  .filter(e => !e.closest('.skip') && !(e.tagName === 'A' && e.closest('p, dd, li:not(.cases li)') && !e.closest('.papers')))
  .map(e => [e.getBoundingClientRect(), e.outerHTML.slice(0, 90)])
  .filter(([box]) => box.width < 24 || box.height < 24).map(([box, html]) => html)"""

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no Chromium is installed"),
]


class TestInABrowser(StaticLiveServerTestCase):
    """One visitor, from the first start to the difference."""

    @pytest.fixture(autouse=True)
    def replaced(self, monkeypatch):
        from stillroom.web.shared import core

        monkeypatch.setattr(core, "assess", fake_assess)
        monkeypatch.setattr(core, "papers", fake_papers)
        monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # the driver runs a loop in this thread

    def setUp(self):
        from axe_playwright_python.sync_playwright import Axe
        from playwright.sync_api import sync_playwright

        self.driver = sync_playwright().start()
        self.browser = self.driver.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-gpu"]
        )
        self.page = self.browser.new_context().new_page()
        self.page.set_default_timeout(15_000)
        self.refused: list[str] = []
        self.page.on(
            "console", lambda said: self.refused.append(said.text) if "Security Policy" in said.text else None
        )
        self.axe = Axe()
        self.seen: list[str] = []

    def tearDown(self):
        self.browser.close()
        self.driver.stop()

    def look(self, name: str) -> None:
        """axe, targets and reflow on the page as it is now."""
        for width in (1280, 320):
            self.page.set_viewport_size({"width": width, "height": 900})
            found = self.axe.run(self.page, options={"runOnly": TAGS}).response
            told = [
                (item["id"], [node["html"][:120] for node in item["nodes"][:3]])
                for item in found["violations"]
            ]
            assert told == [], (name, width)
            assert self.page.evaluate(SMALL) == [], (name, width)
            assert self.page.evaluate("document.documentElement.scrollWidth") <= width, (name, width)
        self.page.set_viewport_size({"width": 1280, "height": 900})
        self.seen.append(name)

    def send(self, words: str) -> None:
        with self.page.expect_navigation(wait_until="load"):
            self.page.locator("main").get_by_role("button", name=words, exact=True).click()

    def follow(self, link: str) -> None:
        with self.page.expect_navigation(wait_until="load"):
            self.page.click(link)

    def wrong(self, name: str) -> None:
        """An error: told in the title, focused, linked to its field."""
        assert self.page.title().startswith("Error: "), name
        assert self.page.evaluate("document.activeElement.className") == "summary", name
        self.look(name)
        link = self.page.locator(".summary a").first
        if link.count():
            target = link.get_attribute("href").removeprefix("#")
            link.click()
            assert self.page.evaluate("document.activeElement.id") == target, name

    def test_the_whole_job(self):
        page = self.page
        page.goto(self.live_server_url)
        self.look("first")
        self.send("Make the first user")
        self.wrong("first, wrong")
        for name, value in (("organisation", "Invented Works"), ("full_name", "Ada Invented"), ("username", "ada"),
                            ("password", "five invented words here 9")):  # fmt: skip
            page.fill(f"[name={name}]", value)
        self.send("Make the first user")
        self.look("assessments, none")
        self.follow("text=New assessment")
        self.look("new")
        page.fill("[name=title]", "Cabinet 3")
        self.send("Continue")
        self.look("inventory")
        self.send("Continue")
        self.wrong("inventory, wrong")
        page.fill("[name=pasted]", INVENTORY.replace("2.5", "much"))
        self.send("Continue")
        self.wrong("inventory, to mend")
        self.follow("text=Fill in a table here instead")
        self.look("table")
        self.send("Continue")
        self.wrong("table, wrong")
        self.follow(".back")
        page.fill("[name=pasted]", INVENTORY)
        self.send("Continue")
        self.look("reading")
        self.follow("a.button:has-text('Continue')")
        self.look("cabinet")
        self.send("Continue")
        self.wrong("cabinet, wrong")
        page.check("[value=full-height]")
        self.send("Continue")
        self.look("filters")
        page.fill("[name=flow]", "fast")
        self.send("Continue")
        self.wrong("filters, wrong")
        page.fill("[name=flow]", "180 m³/h")
        assert not page.locator("[name=seal_low]").is_visible()
        page.check("[name=seal][value=own]")
        page.click("text=Further beds")
        self.look("filters, all shown")
        self.send("Continue")
        self.wrong("filters, by-pass wrong")
        page.check("[name=seal][value=usual]")
        page.set_input_files(
            "[name=medium_file]", {"name": "m.toml", "mimeType": "text/plain", "buffer": b"name = 1"}
        )
        self.send("Add this medium")
        self.wrong("filters, medium wrong")
        page.set_input_files(
            "[name=medium_file]", {"name": "m.toml", "mimeType": "text/plain", "buffer": medium()}
        )
        self.send("Add this medium")
        assert "was taken" in page.evaluate("document.activeElement.textContent")
        self.look("filters, medium taken")
        self.send("Continue")
        self.look("room")
        self.send("Continue")
        self.wrong("room, wrong")
        page.fill("[name=name]", "1.14")
        page.fill("[name=volume]", "62")
        page.fill("[name=changes]", "6")
        page.check("[value=measured]")
        self.look("room, measured")
        page.check("[value=unknown]")
        self.send("Continue")
        self.look("limits")
        self.send("Continue")
        self.wrong("limits, wrong")
        page.select_option("[name=uk-eh40]", "1")
        self.send("Continue")
        self.look("by-hand")
        page.fill("[name=substance]", "toluene")
        page.fill("[name=value]", "50000")
        page.check("[value=ppm]")
        page.check("[value=TWA]")
        page.fill("[name=source]", "data sheet")
        self.send("Add this limit")
        self.wrong("by-hand, to confirm")
        page.fill("[name=value]", "40")
        self.send("Add this limit")
        self.look("by-hand, one")
        self.follow("a.button:has-text('Continue')")
        self.look("rules")
        self.send("Continue")
        self.look("check")
        self.send("Get the verdict")
        assert page.locator(".verdict .word").inner_text() == "Approved with conditions"
        page.evaluate("document.querySelectorAll('details').forEach(part => { part.open = true })")
        self.look("result")
        with page.expect_download() as waited:
            page.click("text=Door label, A5")
        assert waited.value.suggested_filename.endswith("-label.pdf")
        self.send("Change an input")
        self.follow("a:has-text('Change Room')")
        page.fill("[name=changes]", "1")
        self.send("Continue")
        assert page.locator("h1").inner_text().startswith("Change what you want")
        self.send("Get the verdict")
        assert page.locator(".verdict .word").inner_text() == "Not approved"
        self.look("result, refused")
        self.follow("text=See the difference")
        self.look("difference")
        page.goto(f"{self.live_server_url}/assessments/")
        self.look("assessments")
        page.goto(f"{self.live_server_url}/substances/?q=toluene")
        self.look("substances")
        page.goto(f"{self.live_server_url}/nowhere/")
        self.look("not found")
        page.goto(f"{self.live_server_url}/account/")
        self.look("account")
        self.send("Sign out")
        self.look("login")
        self.send("Sign in")
        self.wrong("login, wrong")
        assert self.refused == [], "the content security policy refused something of our own"

    def test_by_keyboard_and_without_script(self):
        """Sign in and begin, by Tab and Enter only; scripts off; the focused thing is never covered."""
        page = self.browser.new_context(java_script_enabled=False).new_page()
        from stillroom.records.models import Membership, Organisation, User
        from stillroom.records.trail import writing

        with writing(None, "test", reason="someone comes"):
            user = User.objects.create_user("ada", password="five invented words here 9", full_name="Ada")
            owner = Organisation.objects.create(name="Invented Works")
            Membership.objects.create(user=user, organisation=owner, role="owner")
        page.goto(f"{self.live_server_url}/login/")
        keys = page.keyboard

        def tab(times: int) -> None:
            for _ in range(times):
                keys.press("Tab")

        tab(3)  # skip link, name of the site, user name
        keys.type("ada")
        tab(1)
        keys.type("five invented words here 9")
        keys.press("Enter")
        page.wait_for_url("**/assessments/")
        tab(10)  # skip link, name, seven pages, new assessment
        keys.press("Enter")
        page.wait_for_url("**/new/")
        tab(11)  # skip link, name, seven pages, back, title
        keys.type("By keyboard")
        keys.press("Enter")
        page.wait_for_url("**/inventory/")
        assert page.locator("h1").inner_text() == "What is to be kept in the cabinet?"
        self.rest_by_keyboard(page)

    def rest_by_keyboard(self, page):
        """From the inventory to a paper; at each stop the focus is seen (WCAG 2.4.7) and not covered (2.4.11)."""
        keys = page.keyboard

        def reach(selector: str) -> None:
            for _ in range(90):
                keys.press("Tab")
                there, covered = page.evaluate(
                    """selector => { const e = document.activeElement, box = e.getBoundingClientRect();
                    const top = document.elementFromPoint(box.x + box.width / 2, box.y + Math.min(box.height, 20) / 2);
                    return [e.matches(selector), !(e.contains(top) || top && top.contains(e)), ] }""",
                    selector,
                )
                assert not covered, page.evaluate("document.activeElement.outerHTML.slice(0, 120)")
                if there:
                    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                    assert outline != "none", selector
                    return
            raise AssertionError(f"{selector} is not reached by Tab")

        def press(selector: str, address: str) -> None:
            reach(selector)
            keys.press("Enter")
            page.wait_for_url(f"**/{address}")

        reach("[name=pasted]")
        keys.insert_text(INVENTORY)
        press("main form button", "reading/")
        press("main a.button", "cabinet/")
        reach("[name=choice]")
        keys.press("Space")
        press("main form button", "filters/")
        reach("[name=seal]")
        keys.press("ArrowDown")
        for name, typed in (("low", "0.01"), ("middle", "0,02"), ("high", "0.1"), ("source", "leak test")):
            reach(f"[name=seal_{name}]")
            keys.type(typed)
        press("main form button:not(.plain)", "room/")
        for name, typed in (("name", "1.14"), ("volume", "62"), ("changes", "6")):
            reach(f"[name={name}]")
            keys.type(typed)
        reach("[name=background]")
        keys.press("Space")
        press("main form button", "limits/")
        reach("[name=uk-eh40]")
        keys.type("1")
        press("main form button", "by-hand/")
        press("main a.button", "rules/")
        press("main form button", "check/")
        assert "leak test" in page.inner_text("main")
        reach("main form button")
        keys.press("Enter")
        page.wait_for_selector(".verdict .word")
        reach(".papers a[href$='label.pdf']")
        with page.expect_download():
            keys.press("Enter")
