"""A finding keeps its question, the digest of its inputs, the method and its version, its result and date."""

from django.db import models
from django.utils import timezone

from wetleaf.lots.models import Season


class Finding(models.Model):
    """One answered question. The same inputs and method give the same finding, so it is stored once."""

    season = models.ForeignKey(Season, models.CASCADE, related_name="findings")
    question = models.CharField(max_length=200)
    subject = models.CharField(max_length=300, blank=True)  # "LU-07", "Dong Ding", a flight's name
    answer = models.CharField(max_length=12, blank=True)  # yes, no, can't tell
    input_digest = models.CharField(max_length=64)
    method = models.CharField(max_length=80)
    method_version = models.CharField(max_length=20)
    result = models.JSONField()
    found_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["season", "question", "subject", "input_digest", "method", "method_version"],
                name="a_finding_is_kept_once",
            )
        ]

    def __str__(self) -> str:
        return f"{self.question} {self.subject}: {self.answer}"
