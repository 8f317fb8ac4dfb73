"""The state matrix: every duty state at every light level, and further levels that the rules make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from scenelux.errors import LimitError
from scenelux.placement.signals import lamp_patterns
from scenelux.scene.switching_dimming import Dimming
from scenelux.study.dusk.light import RowLight, area_of, areas_of, eyes_of, rows_of, worst_of
from scenelux.study.dusk.load import Loads
from scenelux.study.dusk.reach import Reach, key_of
from scenelux.study.dusk.settings import settings_of
from scenelux.study.results import AreaResult, EyeResult
from scenelux.study.results.matrix import MatrixRow
from scenelux.study.simulate import levels_of
from scenelux.switching.story import Story

__all__ = ["Matrix", "burning_shares", "matrix_of"]

Levels = tuple[float, ...]

MOST_FURTHER = 300
"""Sets of levels beside the duty states for which light and glare are computed."""


@dataclass(frozen=True, eq=False)
class Matrix:
    """Rows in order, and the row of levels."""

    rows: tuple[MatrixRow, ...]
    by_levels: Mapping[Levels, MatrixRow]

    def row_of(self, levels: Levels) -> MatrixRow:
        """The first row that has these levels."""
        return self.by_levels[key_of(levels)]


def matrix_of(light: RowLight, found: Reach, loads: Loads, dimming: Mapping[str, Dimming]) -> Matrix:
    """Light, glare and load of all levels.

    Parameters
    ----------
    light : the scene on its site.
    found : levels that the rules make.
    loads : circuits and supply.
    dimming : of the document: how circuits are set.
    """
    scene = light.placed.scene
    stated: dict[tuple[str, str], Levels] = {
        (state_id, light_id): key_of(
            tuple(state.circuits.get(one, 0.0) * level.factors.get(one, 1.0) for one in light.circuits)
        )
        for state_id, state in scene.states.items()
        for light_id, level in scene.light.items()
    }
    levels = levels_of(light.placed)
    further = [one for one in found.made if one not in stated.values()]
    if len(further) > MOST_FURTHER:
        accepted = f"light is computed for {MOST_FURTHER} at most: let rules set whole duty states"
        raise LimitError(f"make {len(further):,} sets of levels that are no duty state", key="rules", accepted=accepted)
    more = rows_of(light, np.array(further).reshape(len(further), len(light.circuits)))
    rows = [
        _row(f"{key[0]}, {key[1]}", key, key, stated[key], found, loads, light, part)
        for part in [_Part(areas_of(light, levels), eyes_of(light, levels))]
        for key in levels
    ]
    rows += [
        _row(_behind(found.made[one]), ("", ""), key, one, found, loads, light, part)
        for part in ([_Part(areas_of(light, more), eyes_of(light, more))] if further else [])
        for one, key in zip(further, more, strict=True)
    ]
    rows = [replace(row, settings=settings_of(dimming, row.levels)) for row in rows]
    by_levels: dict[Levels, MatrixRow] = {}
    for row in rows:
        by_levels.setdefault(key_of(tuple(row.levels.values())), row)
    return Matrix(tuple(rows), by_levels)


@dataclass(frozen=True, eq=False)
class _Part:
    areas: tuple[AreaResult, ...]
    eyes: tuple[EyeResult, ...]


def _row(
    name: str,
    named: tuple[str, str],
    key: tuple[str, str],
    levels: Levels,
    found: Reach,
    loads: Loads,
    light: RowLight,
    part: _Part,
) -> MatrixRow:
    story = found.made.get(levels)
    return MatrixRow(
        name=name,
        state=named[0],
        light=named[1],
        reached=story is not None,
        story=_inputs(story) if story else "",
        levels=dict(zip(light.circuits, levels, strict=True)),
        areas=tuple(area_of(area, *key) for area in part.areas),
        eyes=tuple(worst_of(eye, *key) for eye in part.eyes),
        load=loads.of(levels),
    )


def _behind(story: Story) -> str:
    """Rules that make levels, those that set before those that dim."""
    set_by = [one.set_by for one in story.decisions if one.set_by is not None]
    dimmed = [rule for one in story.decisions for rule in one.dimmed_by]
    return " + ".join(dict.fromkeys([*set_by, *dimmed])) or "all off"


def _inputs(story: Story) -> str:
    """The inputs of a story, without the rules behind it."""
    says = story.says.partition('; rule "')[0]
    return "all inputs normal" if says.startswith(("rule ", "no rule ")) else says


def burning_shares(light: RowLight, row: MatrixRow) -> dict[str, float]:
    """Share of time that the lamps of each circuit burn: 1 unless they flash.

    Parameters
    ----------
    light : the scene.
    row : in whose duty state and light level patterns are looked up; in the first ones where it has none.
    """
    scene = light.placed.scene
    state, at = row.state or next(iter(scene.states)), row.light or next(iter(scene.light))
    patterns = lamp_patterns(light.placed, state, at)
    shares: dict[str, list[float]] = {}
    for lamp, one in zip(light.placed.placed_lamps, patterns, strict=True):
        shares.setdefault(lamp.circuit, []).append(one.pattern.duty)
    return {circuit: sum(found) / len(found) for circuit, found in shares.items()}
