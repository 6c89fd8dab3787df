"""The Django app `site`."""

from django.apps import AppConfig


class SiteConfig(AppConfig):
    """Registers the room under its short label."""

    name = "wetleaf.site"
    label = "site"
