"""Where things are: the same templates link inside one file, or between the pages of the served site."""

from dataclasses import dataclass
from typing import Protocol

from django.urls import reverse


class Places(Protocol):
    """Where a lot, a flight and a ground are found."""

    def book(self) -> str:
        """The first screen."""

    def lot(self, anchor: str) -> str:
        """A lot's page."""

    def flight(self, anchor: str) -> str:
        """A flight's page."""

    def ground(self, key: str, page: str = "") -> str:
        """What a number rests on; `page` is the anchor of the lot it is told of, when there is one."""


@dataclass(frozen=True)
class PlacesInOneFile:
    """Everything is an anchor.

    >>> PlacesInOneFile().lot("lot-lu-07"), PlacesInOneFile().ground("g12")
    ('#lot-lu-07', '#g12')
    """

    def book(self) -> str:
        return "#book"

    def lot(self, anchor: str) -> str:
        return f"#{anchor}"

    def flight(self, anchor: str) -> str:
        return f"#{anchor}"

    def ground(self, key: str, page: str = "") -> str:  # noqa: ARG002 (one file has one place for all)
        return f"#{key}"


@dataclass(frozen=True)
class PlacesOnTheSite:
    """Pages of one season; private facts stay asked for from page to page."""

    season_id: int
    shown_private: bool = False

    def book(self) -> str:
        return self._asked(reverse("season", args=[self.season_id]))

    def lot(self, anchor: str) -> str:
        return self._asked(reverse("lot", args=[self.season_id, anchor]))

    def flight(self, anchor: str) -> str:
        return self._asked(reverse("flight", args=[self.season_id, anchor]))

    def ground(self, key: str, page: str = "") -> str:
        return f"{self.lot(page) if page else ''}#{key}"

    def _asked(self, address: str) -> str:
        return f"{address}?private=shown" if self.shown_private else address
