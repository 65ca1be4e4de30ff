"""The page that makes the first user; it is there only while there is none."""

from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.hashers import make_password
from django.http import Http404
from django.shortcuts import redirect
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from stillroom.records.store import AlreadyInstalled, first_user, no_user_yet
from stillroom.web.first.context import FirstContext
from stillroom.web.first.form import FirstForm
from stillroom.web.shared.doors import posted, show


@login_not_required
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def first(request):
    if not no_user_yet():
        raise Http404
    form = FirstForm(posted(request))
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        hashed = make_password(given["password"])
        try:
            user = first_user(
                username=given["username"],
                full_name=given["full_name"],
                password_hash=hashed,
                organisation=given["organisation"],
            )
        except AlreadyInstalled:
            return redirect("login")
        login(request, user, backend="django.contrib.auth.backends.ModelBackend")
        return redirect("assessments")
    return show(request, "first/page.html", FirstContext(form=form))
