"""Flashing lamps in results that know no time: what a reader must be told."""

from __future__ import annotations

from collections.abc import Collection
from itertools import product

from scenelux.placement import PlacedScene
from scenelux.placement.signals import lamp_patterns
from scenelux.study.levels import lamp_levels

__all__ = ["flash_notes"]


def flash_notes(placed: PlacedScene, cases: Collection[tuple[str, str]] = ()) -> tuple[str, ...]:
    """Says that lamps which flash count as lit, where any of them is on.

    Parameters
    ----------
    placed : the scene on its site.
    cases : duty states and light levels; all of the scene when not given.
    """
    scene = placed.scene
    flashing: set[str] = set()
    for state, light in cases or product(scene.states, scene.light):
        circuits = [lamp.circuit for lamp in placed.placed_lamps]
        levels = lamp_levels(circuits, scene.states[state].circuits, scene.light[light].factors)
        for lamp, level, one in zip(placed.lamp_ids, levels, lamp_patterns(placed, state, light), strict=True):
            if level > 0.0 and len({share for _, share in one.pattern.steps}) > 1:
                flashing.add(lamp)
    if not flashing:
        return ()
    names = ", ".join(lamp for lamp in placed.lamp_ids if lamp in flashing)
    return (f"lamps that flash count as lit; between flashes there is neither their light nor their glare: {names}",)
