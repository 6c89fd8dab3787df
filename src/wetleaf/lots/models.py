"""What stands on the books. Facts, offers and grams are added, never rewritten: the latest one holds."""

from decimal import Decimal
from typing import Self

from django.db import models
from django.utils import timezone


class Season(models.Model):
    """A season of buying, "Spring 2026"; `before` is the season its lots are compared with."""

    name = models.CharField(max_length=120, unique=True)
    before = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="after")
    sort = models.IntegerField(default=0)
    is_invented = models.BooleanField(default=False)

    class Meta:
        ordering = ["-sort", "name"]

    def __str__(self) -> str:
        return self.name


class Producer(models.Model):
    """Who made the tea. Name, contact and place are private: hidden from every page meant for others."""

    name = models.CharField(max_length=200, unique=True)
    contact = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Line(models.Model):
    """A tea the shop keeps from year to year."""

    name = models.CharField(max_length=200, unique=True)
    tea_class = models.CharField(max_length=40, blank=True)
    wanted_kg = models.DecimalField(max_digits=8, decimal_places=3, null=True, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Target(models.Model):
    """What a line should be on an attribute: a value and the tolerance around it. The latest holds.

    An empty attribute stands for every attribute: a tolerance that was said once for all.
    """

    line = models.ForeignKey(Line, models.CASCADE, related_name="targets")
    attribute = models.CharField(max_length=120, blank=True)
    value = models.FloatField(null=True, blank=True)
    tolerance = models.FloatField(null=True, blank=True)
    said_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["attribute", "said_at"]

    def __str__(self) -> str:
        return f"{self.line}: {self.attribute} {self.value} ± {self.tolerance}"


class ImportRun(models.Model):
    """One file taken in, by its digest; `accepted` names the cells its buyer chose to leave out."""

    file_name = models.CharField(max_length=255)
    digest = models.CharField(max_length=64)
    season = models.ForeignKey(Season, models.CASCADE, related_name="imports")
    mapping = models.TextField(blank=True)
    accepted = models.JSONField(default=list)
    taken_in_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["taken_in_at"]
        constraints = [models.UniqueConstraint(fields=["digest", "season"], name="a_file_is_taken_in_once")]

    def __str__(self) -> str:
        return f"{self.file_name} ({self.digest[:8]})"


class DroppedCell(models.Model):
    """A cell that was left out or inferred at import, and why: the book prints these."""

    run = models.ForeignKey(ImportRun, models.CASCADE, related_name="dropped_cells")
    sheet = models.CharField(max_length=120, blank=True)
    cell = models.CharField(max_length=60, blank=True)
    says = models.TextField(blank=True)
    kind = models.CharField(max_length=40)
    severity = models.CharField(max_length=5)
    why = models.TextField()
    do = models.TextField(blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.sheet}!{self.cell}: {self.why}"


class Lots(models.QuerySet["Lot"]):
    """What may be asked of lots."""

    def that_stand(self) -> Self:
        """Leave out lots that were withdrawn. Whatever shows, counts or compares lots starts here."""
        return self.exclude(pk__in=withdrawn_lots())


class Lot(models.Model):
    """One producer's one making; a child lot is made from others (split, re-roast, sort, blend, repack)."""

    season = models.ForeignKey(Season, models.CASCADE, related_name="lots")
    code = models.CharField(max_length=120)
    name = models.CharField(max_length=300)
    producer = models.ForeignKey(Producer, models.PROTECT, null=True, blank=True, related_name="lots")
    line = models.ForeignKey(Line, models.SET_NULL, null=True, blank=True, related_name="lots")
    tea_class = models.CharField(max_length=40, blank=True)
    source = models.CharField(max_length=400, blank=True)  # "book.xlsx, Lots!A5"
    run = models.ForeignKey(ImportRun, models.SET_NULL, null=True, blank=True, related_name="lots")

    objects = Lots.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [models.UniqueConstraint(fields=["season", "code"], name="a_code_is_one_lot_a_season")]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"


class Withdrawal(models.Model):
    """A lot taken off the books because it was put there by mistake. Its code stays its own."""

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="withdrawals")
    reason = models.TextField()
    happened_on = models.DateField()
    said_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.lot.code} withdrawn on {self.happened_on}: {self.reason}"


class Restoration(models.Model):
    """A withdrawal undone: the lot stands again, with everything that was ever said of it."""

    withdrawal = models.OneToOneField(Withdrawal, models.CASCADE, related_name="undone_by")
    reason = models.TextField(blank=True)
    happened_on = models.DateField()
    said_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"{self.withdrawal.lot.code} restored on {self.happened_on}"


def withdrawn_lots() -> models.QuerySet[Withdrawal, int]:
    """The keys of the lots that are withdrawn now, as a query: `.exclude(lot__in=withdrawn_lots())`."""
    return Withdrawal.objects.filter(undone_by__isnull=True).order_by().values_list("lot_id", flat=True)


class Making(models.Model):
    """How a child lot came from its parent, and what was lost on the way. A blend has several parents."""

    class Kind(models.TextChoices):
        SPLIT = "split"
        REROAST = "re-roast"
        SORT = "sort"
        BLEND = "blend"
        REPACK = "repack"

    parent = models.ForeignKey(Lot, models.CASCADE, related_name="children_made")
    child = models.ForeignKey(Lot, models.CASCADE, related_name="made_from")
    kind = models.CharField(max_length=10, choices=Kind)
    grams_in = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    grams_out = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    loss_percent = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    made_on = models.DateField(null=True, blank=True)
    said_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["parent", "child"], name="a_parent_is_named_once_a_child")
        ]

    def __str__(self) -> str:
        return f"{self.child.code} by {self.kind} from {self.parent.code}"


class Fact(models.Model):
    """One thing said about a lot, as written and as read, with who says so. The latest of a field holds.

    `value` is the reading as JSON, {"m": "750"} or {"text": "..."}; `encoding.py` turns it back.
    """

    class Ground(models.TextChoices):
        PRODUCER = "stated by producer"
        DOCUMENT = "seen on document"
        TASTED = "tasted here"
        LABORATORY = "tested by laboratory"
        BUYER = "noted by the buyer"

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="facts")
    field = models.CharField(max_length=40)
    written = models.TextField(blank=True)
    value = models.JSONField(null=True)
    ground = models.CharField(max_length=24, choices=Ground, default=Ground.PRODUCER)
    source = models.CharField(max_length=400, blank=True)
    said_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["said_at", "pk"]

    def __str__(self) -> str:
        return f"{self.lot.code} {self.field}: {self.written}"


class Offer(models.Model):
    """What a lot costs and until when. Price is private. The latest offer holds.

    `written` is the price as written; `readings` and `as_written` keep every part (price, moq, avail, until),
    so that "till late May" stays known where it is no single day.
    """

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="offers")
    price_amount = models.DecimalField(max_digits=14, decimal_places=4, null=True, blank=True)
    currency = models.CharField(max_length=3, blank=True)
    price_per_grams = models.DecimalField(max_digits=10, decimal_places=4, null=True, blank=True)
    price_per_kg = models.DecimalField(max_digits=16, decimal_places=4, null=True, blank=True)
    minimum_grams = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    available_grams = models.DecimalField(max_digits=12, decimal_places=3, null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    held_until = models.DateField(null=True, blank=True)
    deposit = models.CharField(max_length=300, blank=True)
    written = models.CharField(max_length=300, blank=True)
    readings = models.JSONField(default=dict)
    as_written = models.JSONField(default=dict)
    source = models.CharField(max_length=400, blank=True)
    said_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["said_at", "pk"]

    def __str__(self) -> str:
        return f"{self.lot.code} at {self.written}"


class Sample(models.Model):
    """What arrived of a lot: an offer sample, a roast trial, pre-shipment, arrival or a kept one."""

    class Kind(models.TextChoices):
        OFFER = "offer"
        ROAST_TRIAL = "roast trial"
        PRE_SHIPMENT = "pre-shipment"
        ARRIVAL = "arrival"
        KEPT = "kept"

    lot = models.ForeignKey(Lot, models.CASCADE, related_name="samples")
    code = models.CharField(max_length=120)
    kind = models.CharField(max_length=12, choices=Kind, default=Kind.OFFER)
    received_on = models.DateField(null=True, blank=True)
    grams_per_brew = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal("3"))

    class Meta:
        ordering = ["code"]
        constraints = [
            # A kept sample keeps its lot's code, and must not be taken for the offer sample of its year.
            models.UniqueConstraint(fields=["lot", "code", "kind"], name="a_sample_code_is_used_once_a_lot")
        ]

    def __str__(self) -> str:
        return f"{self.code} ({self.kind})"


class LeafEntry(models.Model):
    """A line of the leaf ledger: grams in (positive) or out (negative), what for and when."""

    sample = models.ForeignKey(Sample, models.CASCADE, related_name="leaf_entries")
    grams = models.DecimalField(max_digits=12, decimal_places=3)
    what = models.CharField(max_length=300)
    happened_on = models.DateField(null=True, blank=True)
    source = models.CharField(max_length=400, blank=True)
    noted_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.sample.code} {self.grams:+} g {self.what}"
