"""The Django app `sheets`."""

from django.apps import AppConfig


class SheetsConfig(AppConfig):
    """Registers the room under its short label."""

    name = "wetleaf.sheets"
    label = "sheets"
