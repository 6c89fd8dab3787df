"""The Django app `lots`."""

from django.apps import AppConfig


class LotsConfig(AppConfig):
    """Registers the room under its short label."""

    name = "wetleaf.lots"
    label = "lots"
