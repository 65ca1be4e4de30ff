"""The one door to what an organisation owns."""

from __future__ import annotations

from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.http import Http404

from stillroom.records.models import Membership, Organisation, Owned, Validation

__all__ = ["by_label_token", "may_write_for", "membership_of", "visible", "visible_or_404"]

Row = TypeVar("Row", bound=Model)


def membership_of(user: Any) -> Membership | None:
    """The person's place in their organisation; of several, the oldest."""
    if not getattr(user, "is_authenticated", False):
        return None
    return Membership.objects.filter(user=user).select_related("organisation").order_by("pk").first()


def may_write_for(user: Any, organisation: int) -> bool:
    """Whether a person is an owner or validator of the organisation of that number."""
    membership = membership_of(user)
    return membership is not None and membership.organisation_id == organisation and membership.may_write


def visible(model: type[Row], organisation: Organisation | None) -> QuerySet[Row]:
    """The rows of `model` that belong to the organisation; none without one."""
    if not issubclass(model, Owned | Membership):
        raise TypeError(f"{model.__name__} belongs to no organisation")
    rows = model._default_manager.all()
    return rows.filter(organisation=organisation) if organisation is not None else rows.none()


def visible_or_404(model: type[Row], organisation: Organisation | None, **which: Any) -> Row:
    """One such row; another organisation's is as absent as one that never was."""
    try:
        return visible(model, organisation).get(**which)
    except model.DoesNotExist:
        raise Http404 from None


def by_label_token(token: str) -> Validation | None:
    """The validation whose label carries this token, whoever asks: the token is the only key to that one page."""
    found: Validation | None = (
        Validation.objects.select_related("cabinet", "withdrawal", "superseded_by")
        .filter(label_token=token if token.isprintable() else "")  # PostgreSQL refuses to look for NUL
        .first()
    )
    return found
