"""How often a decision says "yes" when no lot differs, by simulation: the table in docs/reference/methods.md.

    python benchmarks/false_alarms.py [tables per setting] [unnamed]

Every table is drawn from the mixed model with no lot effect; the rate of p < 0.05 is counted for the decision
and for the REML F test with Satterthwaite's df (what R's lmerTest gives), which pools a taster x lot variance
that is estimated at zero. Of cups whose pots nobody named, once as a plain file has them (pots of their own)
and once as the book reads them (`findings.readings.cups`: the next cup is from the next pot, shared by all).
"""

import sys
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from wetleaf.findings.readings.cups import AttributeOfTable, Cup, CupTable
from wetleaf.findings.records import FlightRow
from wetleaf.numerics.profiles import Scores, fit_profiles

Codes = NDArray[np.intp]
Floats = NDArray[np.float64]

SEED = 20261124


@dataclass(frozen=True)
class Setting:
    """One design without lot differences; the residual variance is 1."""

    tasters: int
    lots: int = 4
    replicates: int = 2
    missing: float = 0.0
    taster: float = 1.0
    taster_lot: float = 0.0
    brews: int = 1
    pot: float = 0.0
    bridge: bool = False
    read: str = ""  # pots unnamed: read "plain" or as the "book" does

    def label(self) -> str:
        """Return the setting in words."""
        extra = f", {self.brews} brews (pot {self.pot:g})" if self.brews > 1 else ""
        extra += f", pots unnamed, {self.read}" if self.read else ""
        extra += ", two sittings joined by one tea" if self.bridge else ""
        return (
            f"{self.tasters} tasters x {self.lots} lots x {self.replicates}{extra}, "
            f"{self.missing:.0%} missing, taster {self.taster:g}, taster x lot {self.taster_lot:g}"
        )


def table(setting: Setting, n: int, rng: np.random.Generator) -> Scores:
    """Return one table whose attributes are `n` independent draws of the setting."""
    shape = (setting.lots, setting.tasters, setting.brews, 2 if setting.bridge else 1, setting.replicates)
    lot, taster, brew, sitting, _ = (axis.ravel() for axis in np.indices(shape))
    if setting.bridge:
        middle = setting.lots // 2
        kept = np.where(sitting == 0, lot <= middle, lot >= middle)
        lot, taster, brew, sitting = (axis[kept] for axis in (lot, taster, brew, sitting))
    values = rng.normal(size=(lot.size, n))
    values += np.sqrt(setting.taster) * rng.normal(size=(setting.tasters, n))[taster]
    values += np.sqrt(setting.taster_lot) * rng.normal(size=(setting.lots, setting.tasters, n))[lot, taster]
    values += np.sqrt(setting.pot) * rng.normal(size=(setting.lots, setting.brews, n))[lot, brew]
    values += rng.normal(size=(2, n))[sitting]
    values[rng.random(values.shape) < setting.missing] = np.nan
    if setting.read == "book":
        return _as_the_book_reads(lot, taster, brew, values)
    return Scores(
        lots=[f"L{one:02d}" for one in lot],
        tasters=[f"T{one:02d}" for one in taster],
        values=values,
        attributes=[str(number) for number in range(n)],
        sittings=[f"S{one}" for one in sitting] if setting.bridge else None,
        brews=[f"B{one}" for one in brew] if setting.brews > 1 and not setting.read else None,
    )


def _as_the_book_reads(lot: Codes, taster: Codes, brew: Codes, values: Floats) -> Scores:
    """The same cups from a sheet without a Pot column, which numbers a taster's cups of a lot."""
    columns = tuple(AttributeOfTable(f"{n:05d}", f"{n:05d}", "") for n in range(values.shape[1]))
    flight = FlightRow(1, "2 May", "2026", None, True, "", "", (0, 10), "invented")
    labels = [column.label for column in columns]
    cups = tuple(
        Cup(f"L{at:02d}", f"T{who:02d}", 1, "", str(cup + 1), dict(zip(labels, row.tolist(), strict=True)))
        for at, who, cup, row in zip(lot, taster, brew, values, strict=True)
    )
    return CupTable("", True, (0, 10), (flight,), columns, cups).as_scores()


def false_alarms(setting: Setting, n: int, rng: np.random.Generator) -> tuple[float, float, int]:
    """Return the rate of "yes" of the decision, of the REML test, and how many tables were decided."""
    fitted = fit_profiles(table(setting, n, rng)).attributes
    decided = [one.decision.p < 0.05 for one in fitted if one.decision.p is not None]
    reml = [one.p < 0.05 for one in fitted if one.p is not None]
    rates = [float(np.mean(found)) if found else float("nan") for found in (decided, reml)]
    return rates[0], rates[1], len(decided)


def settings() -> list[Setting]:
    """Return the settings of the published table."""
    found = []
    for tasters in (1, 2, 3, 4, 6, 8, 12):
        for missing in (0.0, 0.2):
            for taster, taster_lot in ((0.0, 0.0), (1.0, 0.0), (1.0, 0.3), (1.0, 2.0)):
                if tasters > 1 or taster_lot == 0.0 == taster:
                    found.append(Setting(tasters, missing=missing, taster=taster, taster_lot=taster_lot))
    for tasters in (2, 3, 6):
        for taster_lot in (0.0, 0.5):
            for pot in (0.0, 0.5):
                found += [
                    Setting(tasters, 5, 1, missing, taster_lot=taster_lot, brews=2, pot=pot)
                    for missing in (0.0, 0.2)
                ]
            found += [
                Setting(tasters, 6, 2, missing, taster_lot=taster_lot, bridge=True) for missing in (0.0, 0.2)
            ]
    return [*found, *unnamed_settings()]


def unnamed_settings() -> list[Setting]:
    """Return the settings of shared pots that nobody named."""
    return [
        Setting(tasters, 4, 1, taster_lot=0.09, brews=brews, pot=pot, read=read)
        for read in ("plain", "book")
        for tasters in (2, 3, 4)
        for brews in (2, 3)
        for pot in (0.25, 0.49)
    ]


def main() -> None:
    """Print the table as Markdown."""
    n = int(sys.argv[1]) if len(sys.argv) > 1 else 4000
    rng = np.random.default_rng(SEED)
    print("| setting | decision | REML, Satterthwaite | tables |\n|---|---|---|---|")
    chosen = unnamed_settings() if sys.argv[2:] == ["unnamed"] else settings()
    for setting in chosen:
        decision, reml, decided = false_alarms(setting, n, rng)
        print(f"| {setting.label()} | {decision:.3f} | {reml:.3f} | {decided} |", flush=True)


if __name__ == "__main__":
    main()
