"""Answers as they were given, each with its cell. Nothing is rewritten; a later answer is a new row."""

from typing import Self, TypeVar

from django.db import models
from django.utils import timezone

from wetleaf.flights.models import Brew, Flight
from wetleaf.lots.models import ImportRun, Lot, Sample
from wetleaf.people.models import Taster

A = TypeVar("A", bound="Answer")


class Answers(models.QuerySet[A]):
    """What may be asked of any kind of answers."""

    def that_hold(self) -> Self:
        """Leave out what a later answer replaced. Every reading of answers starts here."""
        return self.filter(replaced_by__isnull=True)


class Answer(models.Model):
    """What every answer knows: its file and cell, when it was taken in, and what it replaces."""

    run = models.ForeignKey(ImportRun, models.CASCADE, null=True, blank=True, related_name="+")
    source = models.CharField(max_length=300, blank=True)  # "Tasting 12 May!D5"
    given_at = models.DateTimeField(default=timezone.now)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")

    objects = Answers.as_manager()

    class Meta:
        abstract = True
        ordering = ["pk"]


class Score(Answer):
    """One intensity: only `ok` has a value; the others say why there is none."""

    flight = models.ForeignKey(Flight, models.CASCADE, related_name="scores")
    sample = models.ForeignKey(Sample, models.CASCADE, related_name="scores")
    taster = models.ForeignKey(Taster, models.PROTECT, related_name="scores")
    brew = models.ForeignKey(Brew, models.SET_NULL, null=True, blank=True, related_name="scores")
    attribute = models.CharField(max_length=120)
    stage = models.CharField(max_length=40, blank=True)  # a key of trade.stages
    replicate = models.CharField(max_length=60, blank=True)
    value = models.FloatField(null=True)
    status = models.CharField(max_length=12)
    written = models.CharField(max_length=200, blank=True)
    lower = models.FloatField(null=True)
    upper = models.FloatField(null=True)

    def __str__(self) -> str:
        return f"{self.taster} on {self.sample.code}, {self.attribute}: {self.written}"


class Remark(Answer):
    """Words as written."""

    sample = models.ForeignKey(Sample, models.CASCADE, null=True, related_name="remarks")
    flight = models.ForeignKey(Flight, models.SET_NULL, null=True, blank=True, related_name="remarks")
    taster = models.ForeignKey(Taster, models.PROTECT, null=True, related_name="remarks")
    stage = models.CharField(max_length=40, blank=True)
    text = models.TextField()

    def __str__(self) -> str:
        return self.text


class Verdict(Answer):
    """Keep, maybe or no, and a liking on its scale: the first pass. Never set by the program.

    A `decided` one is what the buyer noted by hand of the lot as a whole, and no cup: with its reason,
    perhaps one of the next steps of `trade.stages`, kilos, a price, and the answers of the book it rested on.
    """

    class Word(models.TextChoices):
        KEEP = "keep"
        MAYBE = "maybe"
        NO = "no"

    sample = models.ForeignKey(Sample, models.CASCADE, related_name="verdicts")
    flight = models.ForeignKey(Flight, models.SET_NULL, null=True, blank=True, related_name="verdicts")
    taster = models.ForeignKey(Taster, models.PROTECT, related_name="verdicts")
    word = models.CharField(max_length=5, choices=Word, blank=True)
    liking = models.FloatField(null=True, blank=True)
    scale_low = models.FloatField(default=0)
    scale_high = models.FloatField(default=10)
    given_on = models.DateField(null=True, blank=True)
    decided = models.BooleanField(default=False)
    step = models.CharField(max_length=20, blank=True)  # a key of trade.stages.NextStep, "taste_again"
    why = models.TextField(blank=True)
    kilos = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True)
    price = models.CharField(max_length=120, blank=True)  # as written; private
    rests_on = models.JSONField(default=list, blank=True)  # [{"question", "answer", "digest"}]

    def __str__(self) -> str:
        return f"{self.taster} on {self.sample.code}: {self.word} {self.liking}"


class Preference(Answer):
    """Which of two was preferred; no winner and no tie means the answer could not be used."""

    taster = models.ForeignKey(Taster, models.PROTECT, null=True, related_name="preferences")
    first = models.ForeignKey(Sample, models.CASCADE, related_name="+")
    second = models.ForeignKey(Sample, models.CASCADE, related_name="+")
    winner = models.ForeignKey(Sample, models.CASCADE, null=True, blank=True, related_name="+")
    tie = models.BooleanField(default=False)
    because = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.first.code} or {self.second.code}: {self.winner.code if self.winner else 'neither'}"


class Trial(Answer):
    """A triangle as served and answered; `correct` is empty when the trial cannot be used."""

    taster = models.ForeignKey(Taster, models.PROTECT, null=True, related_name="trials")
    cups = models.ManyToManyField(Sample, through="TrialCup", related_name="trials")
    odd_cup = models.PositiveSmallIntegerField(null=True)
    picked = models.PositiveSmallIntegerField(null=True)
    correct = models.BooleanField(null=True)
    remark = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"triangle by {self.taster}: {self.correct}"


class TrialCup(models.Model):
    """The cup of a trial at a position, 1 to 3."""

    trial = models.ForeignKey(Trial, models.CASCADE, related_name="served")
    sample = models.ForeignKey(Sample, models.CASCADE)
    position = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["position"]

    def __str__(self) -> str:
        return f"{self.position}: {self.sample.code}"


class Retaste(Answer):
    """A lot tasted some days after its roast, and whether it was found ready."""

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="retastes")
    roasted_on = models.DateField(null=True)
    tasted_on = models.DateField(null=True)
    roast_aroma = models.FloatField(null=True)
    ready = models.CharField(max_length=10, blank=True)  # not_ready, nearly, ready
    doubtful = models.BooleanField(default=False)
    remark = models.TextField(blank=True)

    def __str__(self) -> str:
        return f"{self.lot.code} tasted on {self.tasted_on}: {self.ready}"
