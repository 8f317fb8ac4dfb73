"""How flashes of lamps lie to each other: on one clock at a fixed phase, between clocks over all phases."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scenelux.errors import LimitError
from scenelux.placement import PlacedScene
from scenelux.signals import PhaseCurve, from_pattern, measured, over_phases, synchrony, timeline
from scenelux.signals.stretches import LIT_SHARE
from scenelux.study.results.signal_facts import PhaseSpread, SyncFacts
from scenelux.study.signal.case import Burning
from scenelux.timing import US_PER_S, Pattern

__all__ = ["MOST_UNITS", "Unit", "clocks_of", "lit_together", "synchrony_of", "units_of"]

MOST_UNITS = 8
"""Groups of lamps, and clocks, that are held against each other pair by pair."""

DECILES = tuple(part / 10 for part in range(11))


@dataclass(frozen=True)
class Unit:
    """Lamps of one circuit, on one clock, that flash alike."""

    says: str
    circuit: str
    clock: str
    lamps: tuple[int, ...]
    pattern: Pattern


def units_of(placed: PlacedScene, one: Burning) -> tuple[Unit, ...]:
    """Lamps that flash, by what they share, in the order of the document.

    Parameters
    ----------
    placed : the scene on its site.
    one : of a state and light level.
    """
    found: dict[tuple[str, str, Pattern], list[int]] = {}
    for at in np.flatnonzero(one.flashing).tolist():
        how = one.patterns[at]
        found.setdefault((how.clock, placed.placed_lamps[at].circuit, how.pattern), []).append(at)
    circuits = [(clock, circuit) for clock, circuit, _ in found]
    several = len({clock for clock, _ in circuits}) > 1
    units = []
    for (clock, circuit, pattern), lamps in found.items():
        names = ", ".join(placed.placed_lamps[at].id for at in lamps)
        alone = circuits.count((clock, circuit)) == 1
        says = (f"{clock}: " if several else "") + circuit + ("" if alone else f" ({names})")
        units.append(Unit(says, circuit, clock, tuple(lamps), pattern))
    return tuple(units)


def clocks_of(units: Sequence[Unit]) -> tuple[str, ...]:
    """Clocks that time something, in order."""
    return tuple(dict.fromkeys(unit.clock for unit in units))


def synchrony_of(units: Sequence[Unit]) -> tuple[tuple[SyncFacts, ...], tuple[str, ...]]:
    """Pairs of groups on one clock, then pairs of clocks; and notes on what is left out.

    Parameters
    ----------
    units : of `units_of`.
    """
    rows: list[SyncFacts] = []
    notes: list[str] = []
    if len(units) > MOST_UNITS:
        notes.append(
            f"synchronisation: the first {MOST_UNITS} of {len(units)} groups of lamps are held against each other"
        )
    for first, second in itertools.combinations(units[:MOST_UNITS], 2):
        if first.clock == second.clock:
            try:
                rows.append(_on_one_clock(first, second))
            except LimitError as error:
                notes.append(f"{first.says} and {second.says}: {error.problem}")
    clocks = clocks_of(units)
    if len(clocks) > MOST_UNITS:
        notes.append(f"clocks: the first {MOST_UNITS} of {len(clocks)} are held against each other")
    for one, other in itertools.combinations(clocks[:MOST_UNITS], 2):
        try:
            rows.append(_on_two_clocks(one, other, units))
        except LimitError as error:
            notes.append(f"clocks {one} and {other}: {error.problem}")
    return tuple(rows), tuple(notes)


def lit_together(patterns: Sequence[Pattern]) -> Pattern:
    """Lit when any of several patterns of one clock is: full light then, dark else.

    Parameters
    ----------
    patterns : each lit above a tenth of its own largest level.
    """
    time = timeline(patterns)
    largest = np.array([max(one.levels) for one in patterns])
    lit = np.any(time.levels > LIT_SHARE * largest[:, np.newaxis], axis=0)
    begins = np.flatnonzero(np.append(True, lit[1:] != lit[:-1]))
    lengths = np.diff(np.append(time.edges_us[begins], time.edges_us[-1])).tolist()
    return Pattern(tuple((int(us), float(on)) for us, on in zip(lengths, lit[begins].tolist(), strict=True)))


def _on_one_clock(first: Unit, second: Unit) -> SyncFacts:
    found = synchrony(first.pattern, second.pattern)
    both = lit_together([first.pattern, second.pattern])
    flashes = measured(from_pattern(both, 1.0))
    lag = _lag_s(first.pattern, second.pattern)
    return SyncFacts(
        first=first.says,
        second=second.says,
        same_clock=True,
        both_dark=_same(found.both_dark),
        both_lit=_same(found.both_lit),
        longest_dark_s=_same(flashes.longest_dark_s),
        flashes_per_s=_same(flashes.flash_rate_hz),
        lag_s=lag,
        says=_says(first.says, second.says, found.both_lit, found.overlap, lag),
    )


def _lag_s(first: Pattern, second: Pattern) -> float:
    """By how much the second follows the first; nan where they are not the same steps."""
    if first.steps != second.steps:
        return math.nan
    return (second.phase_us - first.phase_us) % first.period_us / US_PER_S


def _says(first: str, second: str, both_lit: float, overlap: float, lag_s: float) -> str:
    if overlap > 1.0 - 1e-9:
        how = "flash together"
    elif both_lit == 0.0:
        how = "are never lit at the same instant"
    else:
        how = f"are lit together for {100.0 * both_lit:.3g} % of the time"
    after = "" if math.isnan(lag_s) or lag_s == 0.0 else f"; the second follows the first by {1000.0 * lag_s:.4g} ms"
    return f"{first} and {second} {how}{after}."


def _on_two_clocks(one: str, other: str, units: Sequence[Unit]) -> SyncFacts:
    first, second = (lit_together([unit.pattern for unit in units if unit.clock == name]) for name in (one, other))
    found = over_phases(first, second)
    dark = _spread(found.longest_dark_s)
    return SyncFacts(
        first=one,
        second=other,
        same_clock=False,
        both_dark=_spread(found.both_dark),
        both_lit=_spread(found.both_lit),
        longest_dark_s=dark,
        flashes_per_s=_spread(found.flashes_per_s),
        lag_s=math.nan,
        says=f"{one} and {other} run on clocks of their own: together dark for {dark.least:.3g} s at least, "
        f"{dark.greatest:.3g} s at most, {dark.mean:.3g} s on average over all phases.",
    )


def _same(value: float) -> PhaseSpread:
    return PhaseSpread(value, value, value, (value,) * len(DECILES))


def _spread(curve: PhaseCurve) -> PhaseSpread:
    return PhaseSpread(curve.least, curve.mean, curve.greatest, tuple(curve.value_at(share) for share in DECILES))
