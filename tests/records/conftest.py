"""Two organisations, invented."""

import pytest


@pytest.fixture
def two(db):
    from stillroom.records.models import Membership, Organisation, User
    from stillroom.records.trail import writing

    found = []
    with writing(None, "test", reason="people come"):
        for name in ("one", "two"):
            user = User.objects.create(username=name, full_name=name)
            organisation = Organisation.objects.create(name=name)
            Membership.objects.create(user=user, organisation=organisation, role="validator")
            found.append((organisation, user))
    return found
