"""Pages for what went wrong: each says what to do next."""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.shortcuts import render
from django.utils.translation import gettext as _

__all__ = ["bad_request", "forbidden", "missing", "no_paper", "server_fault", "stale_form", "too_large"]


def _page(request, status: int, title: str, words: str):
    return render(request, "base/error.html", {"title": title, "words": words}, status=status)


def bad_request(request, exception=None):
    return _page(request, 400, _("This request could not be read"), _("Go back and send the form again."))


def forbidden(request, exception=None):
    words = _(
        "Your role lets you read but not change. Ask an owner of your organisation for the validator's role."
    )
    return _page(request, 403, _("Your role does not allow this"), words)


def missing(request, exception=None):
    words = _(
        "There is no such page, or it belongs to another organisation. Check the address, or go to the list."
    )
    return _page(request, 404, _("Page not found"), words)


@login_not_required
def stale_form(request, reason=""):
    words = _("The form was open too long, or cookies are off. Go back, reload the page and send it again.")
    return _page(request, 403, _("This form is out of date"), words)


def too_large(request):
    words = _("A file can be 5 MB at most. Send the inventory alone, without pictures or other sheets.")
    return _page(request, 413, _("The file is too large"), words)


def no_paper(request, error):
    return _page(request, 500, _("The papers could not be made"), str(error))


def server_fault(request):
    """Without the database, the session or the request's user: they may be what failed."""
    from django.http import HttpResponse
    from django.template.loader import render_to_string

    words = _(
        "Nothing was lost that had been stored. Try again; if it happens again, tell whoever runs the server."
    )
    return HttpResponse(
        render_to_string("base/error.html", {"title": _("The program failed here"), "words": words}),
        status=500,
    )
