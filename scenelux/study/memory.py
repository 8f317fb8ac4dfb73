"""How much memory the results of a study take, told before anything is computed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from scenelux.engine import MEMORY_LIMIT_BYTES
from scenelux.errors import LimitError
from scenelux.placement import PlacedScene, area_shape, station_count
from scenelux.scene.model import SceneDocument
from scenelux.study.crew.standing import RECEIVERS_PER_PLACE, stands_on
from scenelux.study.site_map import map_shape

__all__ = ["check_memory"]

_BYTES = 8


@dataclass(frozen=True)
class _Part:
    """One array of results by lamp: whose, under which key of the scene it can be made smaller, and its size."""

    scene: SceneDocument
    key: str
    what: str
    advice: str
    size_bytes: int


def check_memory(placed: Sequence[PlacedScene], limit_bytes: int = MEMORY_LIMIT_BYTES) -> None:
    """Raises LimitError where light by lamp at all points of all variants would take more than a limit.

    Parameters
    ----------
    placed : every variant that is to be computed.
    limit_bytes : for points x lamps x 8 bytes of areas, places to stand, map and eyes together.

    The error names the largest part and what would make it smaller.
    """
    parts = [part for one in placed for part in _parts(one)]
    whole = sum(part.size_bytes for part in parts)
    if whole <= limit_bytes:
        return
    most = max(parts, key=lambda part: part.size_bytes)
    several = len(placed) > 1
    results = f"the results of {len(placed)} variants" if several else "the results"
    error = LimitError(
        f"is too fine: {results} would take {whole / 1e9:.2f} GB where {limit_bytes / 1e9:.2f} GB is the limit, "
        f"and most of it goes into {most.what}",
        file=most.scene.file or None,
        key=most.key,
        accepted=f"give {most.advice}{' or compute fewer variants' if several else ''}",
    )
    raise most.scene.locate(error, most.key)


def _parts(placed: PlacedScene) -> Iterator[_Part]:
    scene, lamps = placed.scene, len(placed.placed_lamps)
    word = "lamp" if lamps == 1 else "lamps"
    for index, area in enumerate(scene.areas):
        rows, columns = area_shape(placed.vehicles, area)
        what = f"{rows} x {columns} points of {lamps} {word}"
        size = rows * columns * lamps * _BYTES
        yield _Part(scene, f"areas[{index}].grid", what, "a larger spacing or a smaller area", size)
    yield from _places(placed, word)
    rows, columns = map_shape(placed)
    what = f"a plan of {rows} x {columns} points of {lamps} {word}"
    yield _Part(scene, "map.spacing", what, "a larger spacing", rows * columns * lamps * _BYTES)
    cases = len(scene.states) * len(scene.light)
    for index, eye in enumerate(scene.eyes):
        series = station_count(eye) * len(eye.gaze) * cases
        what = f"{series} values of {lamps} {word}, over stations, gazes, states and light levels"
        yield _Part(scene, f"eyes[{index}].step", what, "a larger step", series * lamps * _BYTES)


def _places(placed: PlacedScene, word: str) -> Iterator[_Part]:
    """The largest grid over which a person is moved: what the sides of the torso get is not kept longer than that."""
    lamps, areas = len(placed.placed_lamps), placed.scene.areas
    shapes = [
        (rows * columns, index, f"{rows} x {columns} places to stand of {lamps} {word}")
        for index, (area, wanted) in enumerate(zip(areas, stands_on(placed), strict=True))
        if wanted
        for rows, columns in [area_shape(placed.vehicles, area)]
    ]
    for count, index, what in sorted(shapes)[-1:]:
        size = RECEIVERS_PER_PLACE * count * lamps * _BYTES
        yield _Part(placed.scene, f"areas[{index}].grid", what, "a larger spacing or a smaller area", size)
