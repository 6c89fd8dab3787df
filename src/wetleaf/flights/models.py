"""Samples tasted together: a flight with its brews. A brew is not a cup: leaf is spent by brews."""

from django.db import models

from wetleaf.lots.models import Sample, Season


class Flight(models.Model):
    """A tasting: when, how blind, how brewed, and the scale its scores are on."""

    season = models.ForeignKey(Season, models.CASCADE, related_name="flights")
    name = models.CharField(max_length=200)
    held_on = models.DateField(null=True, blank=True)
    purpose = models.CharField(max_length=120, blank=True)
    blind = models.BooleanField(null=True, blank=True)
    brewed = models.CharField(max_length=400, blank=True)
    scale_low = models.FloatField(default=0)
    scale_high = models.FloatField(default=10)
    source = models.CharField(max_length=400, blank=True)

    class Meta:
        ordering = ["held_on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["season", "name"], name="a_flight_name_is_used_once_a_season")
        ]

    def __str__(self) -> str:
        return self.name


class Brew(models.Model):
    """One vessel of one sample in a flight. All tasters of one brew share its error."""

    flight = models.ForeignKey(Flight, models.CASCADE, related_name="brews")
    sample = models.ForeignKey(Sample, models.CASCADE, related_name="brews")
    label = models.CharField(max_length=60, blank=True)  # as the sheet tells brews apart: "1", "a"

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["flight", "sample", "label"], name="a_brew_is_named_once_a_flight"
            )
        ]

    def __str__(self) -> str:
        return f"{self.sample.code} brew {self.label} in {self.flight}"
