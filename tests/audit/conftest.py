"""Two organisations, and one row of every kind in the first; all invented."""

import pytest

from records.conftest import two  # noqa: F401


@pytest.fixture
def rows(two):  # noqa: F811
    from audit.rows import one_of_each

    return one_of_each(*two[0])
