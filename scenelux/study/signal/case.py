"""One duty state at one light level: the level of every lamp between switching instants, and all that comes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import LimitError
from scenelux.placement import PlacedScene
from scenelux.placement.signals import LampPattern, lamp_patterns
from scenelux.signals import timeline
from scenelux.study.results.signal import GROUPS, RingMeasures, SignalLamp, SignalRing
from scenelux.study.signal.measures import Effective, effective_on, measure
from scenelux.timing import US_PER_S

__all__ = ["Burning", "Memory", "burning", "lamps_of", "measures_of"]

Array = NDArray[np.float64]

MOST_SWITCHINGS = 5_000
"""Of a common cycle: each is a value in every direction."""


@dataclass(frozen=True, eq=False)
class Burning:
    """How all lamps burn in one duty state at one light level.

    Parameters
    ----------
    state, light : ids.
    level : (lamps,) of their circuits, 0 is off.
    patterns : of all lamps; one that is off counts as steady.
    times_s : (segments + 1,) switching instants of the common cycle [s].
    levels : (lamps, segments) with the level in them.
    flashing : (lamps,) on, and with a pattern that changes.
    """

    state: str
    light: str
    level: Array
    patterns: tuple[LampPattern, ...]
    times_s: Array
    levels: Array
    flashing: NDArray[np.bool_]

    @property
    def any_flashes(self) -> bool:
        """Whether there is anything to look at."""
        return bool(self.flashing.any())


@dataclass(frozen=True, eq=False)
class Memory:
    """What lamps at some levels give on the rings of one variant: states and light levels often share them."""

    effective: dict[bytes, Effective] = field(default_factory=dict)
    measures: dict[bytes, tuple[RingMeasures, ...]] = field(default_factory=dict)


def burning(placed: PlacedScene, state: str, light: str, level: Array) -> Burning:
    """Levels of all lamps over their common cycle.

    Parameters
    ----------
    placed : the scene on its site.
    state, light : ids.
    level : (lamps,) of `levels_of`.
    """
    found = lamp_patterns(placed, state, light)
    on = level > 0.0
    flashing = on & np.array([not one.pattern.is_steady for one in found])
    cycles = [one.pattern for one, lit in zip(found, flashing, strict=True) if lit]
    steady = np.array([one.pattern.duty if one.pattern.is_steady else 0.0 for one in found])
    if not cycles:
        return Burning(state, light, level, found, np.array([0.0, 1.0]), (level * steady)[:, np.newaxis], flashing)
    try:
        time = timeline(cycles)
        if len(time.edges_us) > MOST_SWITCHINGS:
            accepted = f"give cycles with a common multiple of at most {MOST_SWITCHINGS:,} switchings"
            raise LimitError(f"make {len(time.edges_us):,} switchings in their common cycle", accepted=accepted)
    except LimitError as error:
        raise placed.scene.locate(
            LimitError(error.problem, key="signals", accepted=error.accepted), "signals"
        ) from None
    shares = np.repeat(steady[:, np.newaxis], len(time.edges_us) - 1, axis=1)
    shares[flashing] = time.levels
    return Burning(state, light, level, found, time.edges_us / US_PER_S, level[:, np.newaxis] * shares, flashing)


def lamps_of(placed: PlacedScene, one: Burning) -> tuple[SignalLamp, ...]:
    """Every lamp with its own cycle.

    Parameters
    ----------
    placed : the scene on its site.
    one : of a state and light level.
    """
    return tuple(
        SignalLamp(
            lamp_id=lamp.id,
            kind=lamp.luminaire.kind,
            circuit=lamp.circuit,
            vehicle_id=lamp.vehicle_id,
            clock=how.clock,
            level=float(one.level[at]),
            pattern=how.text,
            flashing=bool(one.flashing[at]),
            phase_s=how.pattern.phase_us / US_PER_S,
            edges_s=(np.array(how.pattern.edges_us) + how.pattern.phase_us) / US_PER_S,
            levels=np.array(how.pattern.levels) * one.level[at],
        )
        for at, (lamp, how) in enumerate(zip(placed.placed_lamps, one.patterns, strict=True))
    )


def measures_of(rings: Sequence[SignalRing], one: Burning, memory: Memory) -> tuple[RingMeasures, ...]:
    """Measures of both groups of lamps on every ring.

    Parameters
    ----------
    rings : of one variant.
    one : of a state and light level.
    memory : what was found already for lamps at the same levels.
    """
    flashing = np.where(one.flashing[:, np.newaxis], one.levels, 0.0)
    key = one.times_s.tobytes() + flashing.tobytes()
    if key not in memory.effective:
        memory.effective[key] = effective_on(rings, one.times_s, flashing)
    every = key + one.levels.tobytes()
    if every not in memory.measures:
        levels: Mapping[str, Array] = {"all": one.levels, "flashing": flashing}
        effective = memory.effective[key]
        rows = (measure(rings, one.times_s, levels[group], group, effective) for group in GROUPS)
        memory.measures[every] = tuple(row for group in rows for row in group)
    return memory.measures[every]
