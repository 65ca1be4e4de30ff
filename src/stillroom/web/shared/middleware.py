"""Small middleware: bodies bounded, pages private, the organisation at hand, scripts only in the admin site."""

from __future__ import annotations

from django.conf import settings
from django.utils.functional import SimpleLazyObject

from stillroom.records.tenancy import membership_of
from stillroom.web.shared import errors

__all__ = ["OwnOrganisation", "PrivatePages", "SmallBodies"]


class SmallBodies:
    """Refuse a body that says it is too large, before a byte of it is read."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) > settings.LARGEST_BODY:
            return errors.too_large(request)
        return self.get_response(request)


class PrivatePages:
    """No page is kept by a cache; no feature of the device is asked for; the admin site may run its own scripts."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        response = self.get_response(request)
        response.setdefault("Cache-Control", "no-store")
        response.setdefault("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
        if request.path.startswith("/admin/"):
            response._csp_update = {"script-src": ["'self'"]}
        return response


class OwnOrganisation:
    """`request.membership` and `request.organisation`, looked up when first asked for."""

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        request.membership = SimpleLazyObject(lambda: membership_of(request.user))
        return self.get_response(request)
