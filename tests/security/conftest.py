"""The pages' organisation and people, for tests of what comes in and goes out."""

from web.conftest import ours, password_hash, stubs, validator  # noqa: F401
