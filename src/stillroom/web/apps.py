"""The Django app of the pages."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "stillroom.web"
    label = "web"
