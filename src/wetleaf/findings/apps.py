"""The Django app `findings`."""

from django.apps import AppConfig


class FindingsConfig(AppConfig):
    """Registers the room under its short label."""

    name = "wetleaf.findings"
    label = "findings"
