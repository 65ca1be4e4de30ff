"""The own account: who I am here, and a new password."""

from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import PermissionDenied
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from stillroom.records.store import change_password
from stillroom.web.account.context import AccountContext
from stillroom.web.account.form import PasswordForm
from stillroom.web.shared.doors import posted, show


@sensitive_post_parameters("old", "new")
@require_http_methods(["GET", "HEAD", "POST"])
def account(request):
    if not request.membership:
        raise PermissionDenied
    form = PasswordForm(posted(request), user=request.user)
    if request.method == "POST" and form.is_valid():
        change_password(request.user, form.cleaned_data["new"])
        update_session_auth_hash(request, request.user)
        return redirect(reverse("account") + "?changed=1")
    context = AccountContext(form=form, membership=request.membership, changed="changed" in request.GET)
    return show(request, "account/page.html", context)
