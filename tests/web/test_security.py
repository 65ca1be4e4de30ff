"""Headers, cookies, forms from elsewhere, large bodies, deployment (OWASP ASVS 5.0: 3.3, 3.4, 3.5.1, 5.2.1, 13.4.2)."""

from __future__ import annotations

import os
import re
import stat
import subprocess
import sys
from pathlib import Path

import pytest
from django.test import Client

import stillroom.web
from web.test_matrix import MATRIX, address

BACKEND = "django.contrib.auth.backends.ModelBackend"


@pytest.mark.parametrize("name", MATRIX)
def test_every_page_tells_the_browser_what_it_may(name, ours, validator):
    response = validator.get(address(name, ours))
    policy = dict(
        part.split(" ", 1) for part in response["Content-Security-Policy"].split("; ") if " " in part
    )
    assert policy["default-src"] == "'none'"
    assert policy["frame-ancestors"] == "'none'"
    assert "unsafe" not in response["Content-Security-Policy"]
    assert "script-src" not in policy
    if name not in ("paper", "signed-paper", "spent"):  # downloads: nothing at all may run in them
        assert (policy["base-uri"], policy["object-src"], policy["form-action"]) == (
            "'none'",
            "'none'",
            "'self'",
        )
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["X-Frame-Options"] == "DENY"
    assert response["Referrer-Policy"] == ("no-referrer" if name == "label" else "same-origin")
    assert response["Cache-Control"] == "no-store"


@pytest.mark.parametrize("name", MATRIX)
def test_no_page_carries_script_or_style_of_its_own(name, ours, validator):
    response = validator.get(address(name, ours))
    if "html" in response.get("Content-Type", ""):
        text = response.content.decode()
        assert not re.search(r"<script|<style|\sstyle=|\son\w+=|javascript:", text)


def test_scripts_run_in_the_admin_site_only(ours, client):
    from stillroom.records.trail import writing

    user = ours.people["owner"]
    user.is_staff = user.is_superuser = True
    with writing(None, "test", reason="more rights"):
        user.save()
    client.force_login(user, backend=BACKEND)
    assert "script-src 'self'" in client.get("/admin/")["Content-Security-Policy"]


def test_a_form_from_elsewhere_is_refused(ours):
    client = Client(enforce_csrf_checks=True)
    client.force_login(ours.people["validator"], backend=BACKEND)
    for name in MATRIX:
        if MATRIX[name][0] == "case" or name in ("new", "account", "logout"):
            response = client.post(address(name, ours))
            assert response.status_code in (403, 405), name
    assert "out of date" in client.post("/assessments/new/").content.decode()


def test_cookies_are_kept_from_scripts(ours, client):
    client.get("/login/")
    client.post("/login/", {"username": "ours-owner", "password": "five invented words here 9"})
    for name in ("sessionid", "csrftoken"):
        assert client.cookies[name]["httponly"]
        assert client.cookies[name]["samesite"] == "Lax"


def test_a_large_body_is_refused_before_it_is_read(validator):
    response = validator.post("/assessments/new/", "x", content_type="text/plain", CONTENT_LENGTH="6000001")
    assert response.status_code == 413
    assert "5 MB" in response.content.decode()


@pytest.mark.parametrize(("place", "status"), [("/nowhere/", 404), ("/assessments/zzzzzzzzzzzz/", 404)])
def test_a_page_that_is_not_there_says_what_to_do(place, status, validator):
    response = validator.get(place)
    assert response.status_code == status
    assert "Check the address" in response.content.decode()


def test_a_fault_of_the_program_shows_no_inside(ours, monkeypatch, client, caplog):
    from stillroom.web.shared import core

    client.raise_request_exception = False
    client.force_login(ours.people["validator"], backend=BACKEND)
    monkeypatch.setattr(core, "assess", lambda assessment: 1 / 0)
    response = client.post(address("recompute", ours))
    assert response.status_code == 500
    text = response.content.decode()
    assert "The program failed here" in text
    assert "ZeroDivision" not in text


def test_what_people_type_stays_text(ours, validator):
    from stillroom.records.store import update_draft

    nasty = "<script>alert(1)</script>{{7*7}}{% now 'Y' %}"
    update_draft(ours.draft, ours.people["validator"], title=nasty)
    for place in ("/assessments/", address("check", ours), address("room", ours)):
        text = validator.get(place).content.decode()
        assert "<script>" not in text
        assert "&lt;script&gt;" in text
        assert "{{7*7}}" in text


def test_text_is_declared_safe_in_one_place_only():
    folder = Path(stillroom.web.__file__).parent
    asked = re.compile(
        r"mark_safe|\|\s*safe\b|SafeString\(|Template\(|format_html|autoescape off|shell=True|eval\(|pickle"
    )
    found = {file.relative_to(folder).as_posix() for file in folder.rglob("*")
             if file.suffix in (".py", ".html") and asked.search(file.read_text("utf-8"))}  # fmt: skip
    assert found == {"shared/svg.py"}


def run(code: str, **environment: str) -> subprocess.CompletedProcess[str]:
    clean = {
        key: value for key, value in os.environ.items() if not key.startswith(("STILLROOM", "DATABASE_URL"))
    }
    return subprocess.run(
        [sys.executable, "-c", code], env=clean | environment, capture_output=True, text=True, timeout=120
    )


def test_deployment_behind_https_is_quiet(tmp_path):
    done = run(
        "import os; os.environ['DJANGO_SETTINGS_MODULE'] = 'stillroom.web.settings'\n"
        "import django; django.setup()\n"
        "from django.core.management import call_command\n"
        "call_command('check', deploy=True, fail_level='WARNING')\n"
        "from django.conf import settings as s\n"
        "assert s.SESSION_COOKIE_SECURE and s.CSRF_COOKIE_SECURE and s.SECURE_HSTS_SECONDS >= 31536000\n"
        "assert s.SESSION_COOKIE_NAME.startswith('__Host-') and not s.DEBUG\n",
        STILLROOM_HTTPS="1",
        STILLROOM_DATA=str(tmp_path),
        STILLROOM_SECRET_KEY="k" * 25 + "an invented key, long enough for the check",
        STILLROOM_HOSTS="stillroom.example",
    )
    assert done.returncode == 0, done.stderr
    assert "no issues" in done.stdout


def test_the_first_start_makes_database_and_key_for_their_owner_only(tmp_path):
    data = tmp_path / "data"
    code = f"from stillroom.web.serve import prepare; prepare({str(data)!r})\n"
    code += "from stillroom.records.store import no_user_yet; assert no_user_yet()\n"
    code += "from django.conf import settings; print(settings.SECRET_KEY)"
    first, second = run(code), run(code)
    assert first.returncode == 0, first.stderr
    assert first.stdout == second.stdout, "the key stays"
    assert len(first.stdout.strip()) > 60
    for file in ("secret-key", "stillroom.sqlite3"):
        assert stat.S_IMODE((data / file).stat().st_mode) == 0o600
    assert stat.S_IMODE(data.stat().st_mode) == 0o700
