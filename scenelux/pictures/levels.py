"""Which duty states and light levels are drawn: all at which a rule is judged, and every state once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scenelux.study.results import VariantResult

__all__ = ["Key", "Level", "approach_lights", "judged_lights", "levels_drawn"]

Key = tuple[str, str]
"""A duty state and a light level."""


@dataclass(frozen=True)
class Level:
    """A duty state and light level that is drawn, and those that give the very same map."""

    state: str
    light: str
    same: tuple[Key, ...]

    @property
    def keys(self) -> tuple[Key, ...]:
        """All pairs of state and light level that the sheet is valid for."""
        return ((self.state, self.light), *self.same)


def judged_lights(variants: Sequence[VariantResult]) -> list[str]:
    """Light levels, first the one at which most rules are judged; of equals the darkest, then the earlier."""
    lights = list(dict.fromkeys(light for one in variants for _, light in one.map.levels))
    rules = {light: sum(row.light == light for one in variants for row in one.verdicts) for light in lights}
    return sorted(lights, key=lambda light: (-rules[light], _surroundings(variants, light)))


def _surroundings(variants: Sequence[VariantResult], light: str) -> float:
    """Natural light at a light level, for its order alone [lx]."""
    entries = (entry for one in variants for area in one.areas for entry in area.entries if entry.light == light)
    found = [entry.ambient_lx for entry in entries if math.isfinite(entry.ambient_lx)]
    return min(found, default=0.0)


def levels_drawn(variants: Sequence[VariantResult], *, every_light: bool = False) -> list[Level]:
    """The states and light levels to draw; none that is all dark, and none that repeats another.

    Parameters
    ----------
    variants : those on one sheet.
    every_light : draw every light level of every state.
    """
    order = judged_lights(variants)
    groups = _groups(variants)
    if every_light:
        return [_level(keys, order, variants) for keys in groups]
    judged = {(row.state, row.light) for one in variants for row in one.verdicts}
    chosen = [keys for keys in groups if judged.intersection(keys)]
    for state in dict.fromkeys(state for state, _ in variants[0].map.levels):
        own = (keys for light in order for keys in groups if (state, light) in keys)
        first = next(own, None)
        if first is not None and not any(state == drawn for keys in chosen for drawn, _ in keys):
            chosen.append(first)
    return [_level(keys, order, variants) for keys in sorted(chosen, key=lambda keys: _place(keys, order, variants))]


def _place(keys: list[Key], order: Sequence[str], variants: Sequence[VariantResult]) -> tuple[int, int]:
    """Order of the sheets: states as in the document, each at its most judged light level first."""
    states = list(dict.fromkeys(state for state, _ in variants[0].map.levels))
    level = _level(keys, order, variants)
    return states.index(level.state), order.index(level.light)


def _groups(variants: Sequence[VariantResult]) -> list[list[Key]]:
    """Pairs of state and light level with the same lamp levels, without those that are dark in every variant."""
    groups: dict[tuple[tuple[float, ...], ...], list[Key]] = {}
    for key in variants[0].map.levels:
        if all(key in one.map.levels for one in variants):
            levels = tuple(tuple(one.map.levels[key].tolist()) for one in variants)
            if any(any(level) for level in levels):
                groups.setdefault(levels, []).append(key)
    return list(groups.values())


def _level(keys: list[Key], order: Sequence[str], variants: Sequence[VariantResult]) -> Level:
    """The pair with the most verdicts stands for its group, of equals that at the most judged light level."""
    rules = {key: sum((row.state, row.light) == key for one in variants for row in one.verdicts) for key in keys}
    first = min(keys, key=lambda key: (-rules[key], order.index(key[1])))
    return Level(*first, tuple(key for key in keys if key != first))


def approach_lights(variants: Sequence[VariantResult], *, every_light: bool = False) -> list[str]:
    """Light levels of the glare curves: the most judged one, and the one with the most veil when that is more.

    Parameters
    ----------
    variants : those on one sheet.
    every_light : every light level.
    """
    order = judged_lights(variants)
    if every_light or len(order) < 2:
        return order
    veils = {light: _most_veil(variants, light) for light in order}
    brightest = max(order, key=lambda light: veils[light])
    return [order[0], brightest] if veils[brightest] > 1.01 * veils[order[0]] else order[:1]


def _most_veil(variants: Sequence[VariantResult], light: str) -> float:
    veils = [
        entry.veil_cd_m2[eye.headline_form]
        for one in variants
        for eye in one.eyes
        for entry in eye.entries
        if entry.light == light
    ]
    return max((float(np.nanmax(veil)) for veil in veils if np.isfinite(veil).any()), default=0.0)
