"""What every test stands on: a data directory of its own, and a test database that can be emptied."""

from __future__ import annotations

import pytest


@pytest.fixture(autouse=True, scope="session")
def data_directory(tmp_path_factory):
    """Keys and checkpoints of tests never touch the user's own."""
    from django.conf import settings

    settings.DATA = tmp_path_factory.mktemp("data")
    return settings.DATA


@pytest.fixture(autouse=True, scope="session")
def guards_lifted_while_emptying():
    """Django empties the database after a test with real transactions: the guards against that are lifted for it.

    They are put back by the `post_migrate` signal that emptying sends.
    """
    from django.test import TransactionTestCase

    emptying = TransactionTestCase._fixture_teardown

    def lifted(case):
        from django.db import connection

        from stillroom.records import guards

        guards.remove(connection)
        emptying(case)

    TransactionTestCase._fixture_teardown = lifted
    yield
    TransactionTestCase._fixture_teardown = emptying
