"""Who tastes, and every way a taster's name has been written."""

from django.db import models


class Taster(models.Model):
    """A person who answers sheets. The buyer is one of them and answers for rows that name nobody."""

    name = models.CharField(max_length=200, unique=True)
    is_buyer = models.BooleanField(default=False)
    is_invented = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class WrittenName(models.Model):
    """A spelling under which a taster appeared, so that the next sheet is read without asking again."""

    taster = models.ForeignKey(Taster, models.CASCADE, related_name="written_names")
    written = models.CharField(max_length=200, unique=True)

    def __str__(self) -> str:
        return f"{self.written} is {self.taster}"
