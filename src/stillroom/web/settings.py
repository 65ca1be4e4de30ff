"""Django's settings. What differs between installations comes from the environment; see docs/howto/serve.md."""

from __future__ import annotations

import os
import secrets
import tempfile
from datetime import timedelta
from pathlib import Path
from urllib.parse import urlsplit

from csp.constants import NONE, SELF
from django.utils.translation import gettext_lazy as _

from stillroom.errors import StillroomError
from stillroom.records.database import settings_for

WEB = Path(__file__).parent
DATA = Path(os.environ.get("STILLROOM_DATA") or Path.home() / ".local/share/stillroom")
HTTPS = os.environ.get("STILLROOM_HTTPS", "") == "1"
"""The site is reached by https only (behind a proxy that ends TLS): secure cookies, HSTS, redirects."""


def _secret_key() -> str:
    """From the environment, else the file that the first start wrote, else one that dies with the process."""
    file = DATA / "secret-key"
    return (
        os.environ.get("STILLROOM_SECRET_KEY")
        or (file.read_text("ascii").strip() if file.is_file() else "")
        or secrets.token_urlsafe(64)
    )


def _base_url() -> str:
    """Where the codes on labels lead: http(s), a host, perhaps a port and a path; empty where it is not stated."""
    stated = os.environ.get("STILLROOM_BASE_URL", "").strip().rstrip("/")
    parts = urlsplit(stated)
    wrong = parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.fragment
    if stated and (wrong or "@" in parts.netloc):
        raise StillroomError(
            f"STILLROOM_BASE_URL is “{stated}”. Write the address that people type, like https://stillroom.example.org."
        )
    return stated


def _positive(name: str, default: float) -> float:
    """A number above zero and at most 1000 from the environment."""
    stated = os.environ.get(name, "").strip()
    try:
        value = float(stated or default)
    except ValueError:
        value = 0.0
    if not 0 < value <= 1000:
        raise StillroomError(f"{name} is “{stated}”. Write a number above 0, like {default:g}.")
    return value


SECRET_KEY = _secret_key()
DEBUG = False
BASE_URL = _base_url()
ALLOWED_HOSTS = [
    *filter(None, (host.strip() for host in os.environ.get("STILLROOM_HOSTS", "").split(","))),
    *filter(None, [urlsplit(BASE_URL).hostname]),
    "127.0.0.1",
    "localhost",
    "[::1]",
]

INSTALLED_APPS = [
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "whitenoise.runserver_nostatic",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "stillroom.records",
    "stillroom.web.apps.WebConfig",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "stillroom.web.shared.middleware.PrivatePages",
    "stillroom.web.shared.middleware.SmallBodies",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "stillroom.web.shared.sessions.SessionLimits",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "stillroom.web.shared.middleware.OwnOrganisation",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "axes.middleware.AxesMiddleware",
]
ROOT_URLCONF = "stillroom.web.urls"
WSGI_APPLICATION = "stillroom.web.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [WEB],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["django.templatetags.i18n", "stillroom.web.templatetags.words"],
        },
    }
]

DATABASES = {
    "default": settings_for(
        os.environ.get("DATABASE_URL", ""),
        data=DATA,
        test_file=Path(tempfile.gettempdir()) / f"stillroom-test-{os.getpid()}.sqlite3",
    )
}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

# People and sessions
AUTH_USER_MODEL = "records.User"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}", "OPTIONS": options}
    for name, options in (
        ("MinimumLengthValidator", {"min_length": 12}),
        ("CommonPasswordValidator", {}),
        ("UserAttributeSimilarityValidator", {"user_attributes": ("username", "full_name", "email")}),
    )
]
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "assessments"
LOGOUT_REDIRECT_URL = "login"
IDLE_SECONDS = round(60 * _positive("STILLROOM_IDLE_MINUTES", 30))
"""A session that was not used for so long is over."""
SESSION_COOKIE_AGE = round(3600 * _positive("STILLROOM_SESSION_HOURS", 12))
"""A session is over after this time, however much it was used."""
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_FAILURE_VIEW = "stillroom.web.shared.errors.stale_form"

AXES_FAILURE_LIMIT = 10
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_RESET_COOL_OFF_ON_FAILURE_DURING_LOCKOUT = False
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "login/locked.html"
AXES_VERBOSE = False
AXES_SENSITIVE_PARAMETERS = ["password"]

# What browsers are told
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "style-src": [SELF],
        "img-src": [SELF],
        "font-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
        "object-src": [NONE],
    }
}
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if HTTPS:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 63_072_000
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = True
    SESSION_COOKIE_NAME, CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"

# Uploads: an inventory is a few hundred kilobytes
LARGEST_BODY = 6_000_000
LARGEST_FILE = 5_000_000
DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 6000
DATA_UPLOAD_MAX_NUMBER_FILES = 4
FILE_UPLOAD_MAX_MEMORY_SIZE = LARGEST_BODY
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.MemoryFileUploadHandler"]

STATIC_URL = "static/"
STATICFILES_DIRS = [WEB / "static"]
WHITENOISE_USE_FINDERS = True
WHITENOISE_MAX_AGE = 3600

LANGUAGE_CODE = "en-gb"
LANGUAGES = [("en-gb", _("English"))]
LOCALE_PATHS = [WEB / "locale"]
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"
FORMAT_MODULE_PATH: list[str] = []
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s %(message)s"}},
    "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "line"}},
    "loggers": {"django": {"handlers": ["stderr"], "level": "WARNING", "propagate": False}},
}
