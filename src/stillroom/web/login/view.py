"""Sign in and out."""

from django.conf import settings
from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from stillroom.records.store import no_user_yet
from stillroom.web.login.context import LoginContext
from stillroom.web.login.form import SignInForm
from stillroom.web.shared.doors import posted, show


@login_not_required
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request):
    if no_user_yet():
        return redirect("first")
    going = request.POST.get("next") or request.GET.get("next") or ""
    if not url_has_allowed_host_and_scheme(going, {request.get_host()}, require_https=request.is_secure()):
        going = ""
    if request.user.is_authenticated:
        return redirect(going or "assessments")
    form = SignInForm(request, posted(request))
    if request.method == "POST" and form.is_valid():
        login(request, form.get_user())
        return redirect(going or reverse("assessments"))
    return show(request, "login/page.html", LoginContext(form=form, next=going, ended=_ended(request)))


def _ended(request) -> str:
    words = {
        "idle": _("You were signed out: nothing was done for %g minutes.") % (settings.IDLE_SECONDS / 60),
        "long": _("You were signed out: a session lasts %g hours at most.")
        % (settings.SESSION_COOKIE_AGE / 3600),
    }
    return words.get(request.GET.get("ended", ""), "")


@require_POST
def sign_out(request):
    logout(request)
    return redirect("login")
