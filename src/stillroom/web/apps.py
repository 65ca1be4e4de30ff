"""The Django app of the pages."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "stillroom.web"
    label = "web"

    def ready(self) -> None:
        from django.contrib.auth.signals import user_logged_in

        from stillroom.web.shared.sessions import begin

        user_logged_in.connect(begin, dispatch_uid="stillroom.web.session.begin")
