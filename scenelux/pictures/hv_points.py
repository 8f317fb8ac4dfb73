"""Chart of the test points of an H-V table: where each lies, its value, and whether it was measured or is required."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.photometry import Basis, PhotometricFile, TestPoint
from scenelux.pictures.labels import FreeSpace
from scenelux.pictures.sheet import GREY, HEIGHT_IN, WIDTH_IN, Box, Sheet, add_axes, put
from scenelux.pictures.text import fit, text_width_in
from scenelux.units import figure

__all__ = ["MOST_LABELLED", "draw_points"]

Array = NDArray[np.float64]

MOST_LABELLED = 64
"""Most points whose values are written beside them."""

_MARKS = {"measured": ("o", "black"), "required minimum": ("s", "white")}
_SAYS = {"measured": ("listed as measured", ""), "required minimum": ("the least required", ", a lamp may give more")}
_VALUE_PT, _TICK_PT, _MARK_IN, _EDGE_IN = 6.5, 6.5, 0.062, 0.2
_GAPS_IN = (0.27, 0.21)  # between neighbouring columns and rows, where there is room


def draw_points(
    sheet: Sheet, box: Box, source: PhotometricFile | Sequence[TestPoint], basis: Basis | None = None
) -> None:
    """Draws test points as a wall in front of the lamp shows them, right to the right and up upwards.

    Rows and columns that lie near each other are drawn apart so that every value can be read; their angles stand at the
    axes. Above 64 points there are only marks, to scale.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the chart; its title stands above it (0.4 in), its angles left of it and below it (0.45 in).
    source : a file with test points, or points.
    basis : of points that come without a file. A filled circle is measured, an open square is a required minimum.
    """
    points = source.points if isinstance(source, PhotometricFile) else tuple(source)
    basis = source.basis if isinstance(source, PhotometricFile) else basis
    if not points or basis is None:
        raise UsageError("are none, or neither measured nor required", key="points")
    labelled = len(points) <= MOST_LABELLED
    h, v = (np.array([getattr(point, name) for point in points]) for name in ("h_deg", "v_deg"))
    across, apart_h = _placed(h, box.width, _GAPS_IN[0] if labelled else 0.0)
    up, apart_v = _placed(v, box.height, _GAPS_IN[1] if labelled else 0.0)
    axes = _frame(sheet, box)
    _draw_angles(sheet, box, axes, across, up)
    places = [(box.left + across[point.h_deg], box.bottom + up[point.v_deg]) for point in points]
    _draw_marks(axes, box, places, basis, 1.0 if labelled else 0.5)
    left_out = _draw_values(sheet, box, axes, points, places) if labelled else len(points)
    kind = f", type {source.distribution.photometric_type}" if isinstance(source, PhotometricFile) else ""
    put(sheet, box.left - 0.45, box.top + 0.36, f"Test points, listed as {basis}{kind} [cd]", 9, bold=True)
    _draw_meaning(sheet, box, points, basis, apart_h or apart_v, left_out)


def _placed(angles: Array, length: float, gap: float) -> tuple[dict[float, float], bool]:
    """Where each angle lies along an axis [in], to scale but for neighbours nearer than the gap; whether any were."""
    listed = np.unique(np.append(angles, 0.0)) if angles.min() < 0.0 < angles.max() else np.unique(angles)
    steps, room = np.diff(listed), length - 2 * _EDGE_IN
    if not steps.size:
        return {float(listed[0]): length / 2}, False
    least = min(gap, room / steps.size)
    low, high = 0.0, room / steps.sum()
    scale = high
    for _ in range(60):
        wide = np.maximum(least, scale * steps).sum() > room
        low, high = (low, scale) if wide else (scale, high)
        scale = (low + high) / 2
    spread = np.maximum(least, scale * steps)
    spread *= room / spread.sum()
    places = _EDGE_IN + np.concatenate(((0.0,), np.cumsum(spread)))
    apart = bool(np.ptp(spread / steps) > 1e-3 * (spread / steps).max())
    return dict(zip(listed.tolist(), places.tolist(), strict=True)), apart


def _frame(sheet: Sheet, box: Box) -> Axes:
    """Axes in inches, without ticks of their own."""
    axes = add_axes(sheet, box)
    axes.set(xlim=(0.0, box.width), ylim=(0.0, box.height), xticks=[], yticks=[])
    return axes


def _draw_angles(sheet: Sheet, box: Box, axes: Axes, across: dict[float, float], up: dict[float, float]) -> None:
    """Thin lines at the listed angles, their names at the left and below."""
    for angle, x in across.items():
        axes.axvline(x, color="#9a9a9a" if angle == 0.0 else "#e4e4e4", lw=0.7, zorder=1)
    for angle, y in up.items():
        axes.axhline(y, color="#9a9a9a" if angle == 0.0 else "#e4e4e4", lw=0.7, zorder=1)
    names = {angle: _name(angle, "LVR") for angle in across}
    widest = max(text_width_in(name, _TICK_PT) for name in names.values())
    steps = [b - a for a, b in pairwise(across.values())]
    upright = bool(steps) and min(steps) < widest + 0.04
    deep = 0.0
    for angle in _spaced(across, 0.1 if upright else widest + 0.04):
        deep = max(deep, text_width_in(names[angle], _TICK_PT) if upright else _TICK_PT / 72)
        x, wide = box.left + across[angle], text_width_in(names[angle], _TICK_PT)
        if upright:
            put(sheet, x, box.bottom - 0.04 - wide, names[angle], _TICK_PT, va="center", angle_deg=90)
        else:
            put(sheet, x, box.bottom - 0.05, names[angle], _TICK_PT, ha="center")
    for angle in _spaced(up, 0.1):
        put(sheet, box.left - 0.04, box.bottom + up[angle], _name(angle, "DHU"), _TICK_PT, ha="right", va="center")
    middle = box.left + box.width / 2
    put(sheet, middle, box.bottom - 0.09 - deep, "degrees left (L) and right (R)", 7, ha="center")
    put(sheet, box.left - 0.42, box.bottom + box.height / 2, "degrees up (U) and down (D)", 7, ha="center", va="center",
        angle_deg=90)  # fmt: skip


def _name(angle: float, letters: str) -> str:
    """An angle as test points name it: 20L, V, 5R; or 5D, H, 10U."""
    return f"{abs(angle):g}{letters[2 if angle > 0 else 0]}" if angle else letters[1]


def _spaced(places: dict[float, float], least: float) -> Iterator[float]:
    """Angles whose names do not touch; the line at 0 has one in any case."""
    kept = [places[0.0]] if 0.0 in places else []
    for angle, place in places.items():
        if angle == 0.0 or all(abs(place - other) >= least for other in kept):
            kept.append(place)
            yield angle


def _draw_marks(axes: Axes, box: Box, places: Sequence[tuple[float, float]], basis: Basis, size: float) -> None:
    marker, face = _MARKS[basis]
    x, y = zip(*places, strict=True)
    axes.plot(
        np.array(x) - box.left, np.array(y) - box.bottom, ls="", marker=marker, ms=72 * _MARK_IN * size, mfc=face,
        mec="black", mew=0.9 * size, zorder=4,
    )  # fmt: skip
    ground = _MARK_IN * size + 0.05
    for place in places:
        _clear(axes, box, place, ground, ground)


def _draw_values(
    sheet: Sheet, box: Box, axes: Axes, points: Sequence[TestPoint], places: Sequence[tuple[float, float]]
) -> int:
    """Writes each value where it touches nothing, on white ground; how many found no place."""
    half = _MARK_IN / 2 + 0.008
    space = FreeSpace((box.left, box.bottom, box.right, box.top))
    space.taken += [(x - half, y - half, x + half, y + half) for x, y in places]
    highest = max(point.candela for point in points)
    left_out = 0
    for point, (x, y) in sorted(zip(points, places, strict=True), key=lambda one: -one[0].candela):
        text, bold = figure(point.candela), point.candela == highest
        width, height = text_width_in(text, _VALUE_PT, bold) + 0.02, 0.088
        at = space.place(_around(x, y, width, height), width, height)
        left_out += at is None
        if at is not None:
            put(sheet, *at, text, _VALUE_PT, ha="center", va="center", bold=bold)
            _clear(axes, box, at, width, height)
    return left_out


def _clear(axes: Axes, box: Box, at: tuple[float, float], width: float, height: float) -> None:
    """White ground, so that the thin lines stop before a value or a mark."""
    corner = (at[0] - width / 2 - box.left, at[1] - height / 2 - box.bottom)
    axes.add_patch(Rectangle(corner, width, height, facecolor="white", edgecolor="none", zorder=2))


def _around(x: float, y: float, width: float, height: float) -> list[tuple[float, float]]:
    """Centres of a label about a mark, best first: below, above, beside, at the corners."""
    dx, dy = width / 2 + _MARK_IN / 2 + 0.012, height / 2 + _MARK_IN / 2 + 0.012
    sides = [(0.0, -dy), (0.0, dy), (dx, 0.0), (-dx, 0.0)]
    corners = [(a * width / 3, b * dy) for b in (-1, 1) for a in (1, -1)]
    far = [(a * dx, b * 0.7 * dy) for b in (-1, 1) for a in (1, -1)]
    return [(x + a, y + b) for a, b in (*sides, *corners, *far)]


def _draw_meaning(
    sheet: Sheet, box: Box, points: Sequence[TestPoint], basis: Basis, apart: bool, left_out: int
) -> None:
    """The mark with what it means."""
    left, y, room = box.left - 0.45, box.top + 0.17, box.width + 0.45
    marker, face = _MARKS[basis]
    place = ((left + 0.04) / WIDTH_IN, (y - 0.04) / HEIGHT_IN)
    sheet.add_artist(
        Line2D([place[0]], [place[1]], ls="", marker=marker, ms=72 * _MARK_IN, mfc=face, mec="black", mew=0.9)
    )
    says = [f"{len(points)} point{'' if len(points) == 1 else 's'}"]
    if left_out == len(points):
        lowest, highest = min(point.candela for point in points), max(point.candela for point in points)
        says.append(f"{figure(lowest)} to {figure(highest)} cd, values in the table")
    elif left_out:
        says.append(f"{left_out} value{'' if left_out == 1 else 's'} without room")
    says += ["crowded angles drawn apart"] if apart else []
    means, more = _SAYS[basis]
    room -= 0.12
    text = "; ".join((f"{means}{more}", *says))
    text = text if text_width_in(text, 6.5) <= room else "; ".join((means, *says))
    put(sheet, left + 0.12, y, fit(text, room, 6.5), 6.5, color=GREY)
