"""The Django app `flights`."""

from django.apps import AppConfig


class FlightsConfig(AppConfig):
    """Registers the room under its short label."""

    name = "wetleaf.flights"
    label = "flights"
