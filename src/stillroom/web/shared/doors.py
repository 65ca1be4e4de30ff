"""Who may come in: members of an organisation read; owners and validators change."""

from __future__ import annotations

from dataclasses import fields
from functools import wraps
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpResponseNotAllowed
from django.shortcuts import redirect, render

from stillroom.records.models import Assessment
from stillroom.records.tenancy import visible, visible_or_404

__all__ = ["assessment_or_404", "draft_page", "mine", "page", "posted", "show"]


def page(*methods: str, writes: bool = False):
    """A view for members. With `writes` it needs the right to change, whatever the method; a POST always does."""

    def wrap(view):
        @wraps(view)
        def inner(request, *args: Any, **kwargs: Any):
            if request.method not in methods and request.method != "HEAD":
                return HttpResponseNotAllowed(methods)
            if not request.membership:
                raise PermissionDenied
            if (writes or request.method == "POST") and not request.membership.may_write:
                raise PermissionDenied
            return view(request, *args, **kwargs)

        return inner

    return wrap


def draft_page(view):
    """A page of the intake: its view gets the draft. A finished assessment sends to its result."""

    @page("GET", "POST", writes=True)
    @wraps(view)
    def inner(request, key: str, **kwargs: Any):
        assessment = assessment_or_404(request, key)
        if not assessment.is_draft:
            return redirect("result", key=key)
        return view(request, assessment, **kwargs)

    return inner


def mine(request, model):
    """The rows of the organisation that the request comes from."""
    return visible(model, request.membership.organisation)


def assessment_or_404(request, key: str) -> Assessment:
    return visible_or_404(Assessment, request.membership.organisation, key=key)


def show(request, template: str, context: Any, *, status: int = 200):
    """Render a page from its context dataclass, whose fields are the template's names."""
    names = {field.name: getattr(context, field.name) for field in fields(context)}
    return render(request, template, names, status=status)


def posted(request):
    """What a form is bound to: nothing until it was sent, also where it was sent empty."""
    return request.POST if request.method == "POST" else None
