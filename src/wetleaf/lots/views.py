"""The page of what stands on the books: every sample with its leaf ledger."""

from dataclasses import dataclass
from decimal import Decimal

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from wetleaf.lots.ledger import LeafLeft, leaf_left_of
from wetleaf.lots.models import LeafEntry, Sample, Season, withdrawn_lots


@dataclass(frozen=True)
class SampleLedger:
    """A sample with the lines of its ledger and what is left."""

    sample: Sample
    entries: tuple[LeafEntry, ...]
    left: LeafLeft

    @property
    def grams_in(self) -> Decimal | None:
        """Grams that ever came; None when nothing was weighed in."""
        return (
            sum((entry.grams for entry in self.entries if entry.grams > 0), Decimal(0))
            if self.entries
            else None
        )


@require_safe
def leaf(request: HttpRequest, season_id: int) -> HttpResponse:
    """Every sample of a season: grams in, grams used, grams and brews left."""
    shown = get_object_or_404(Season, pk=season_id)
    samples = list(
        Sample.objects.filter(lot__season=shown)
        .exclude(lot__in=withdrawn_lots())
        .select_related("lot")
        .prefetch_related("leaf_entries")
        .order_by("lot__code", "code")
    )
    left = leaf_left_of(samples)
    ledgers = [SampleLedger(sample, tuple(sample.leaf_entries.all()), left[sample.pk]) for sample in samples]
    return render(request, "lots/leaf.html", {"season": shown, "ledgers": ledgers, "place": "leaf"})
