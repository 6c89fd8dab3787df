"""The Django app `people`."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """Registers the room under its short label."""

    name = "wetleaf.people"
    label = "people"
