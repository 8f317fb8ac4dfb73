"""Draws people and objects on a plan, to scale and with their names, and marks the darkest places to stand."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Ellipse, Polygon
from numpy.typing import NDArray

from scenelux.pictures.labels import FreeSpace, Rectangle
from scenelux.pictures.levels import Level
from scenelux.pictures.site import body_outline, halo, label, leader
from scenelux.pictures.text import text_width_in
from scenelux.pictures.words import lux_figure
from scenelux.study.results import FigureDrawing, VariantResult

__all__ = ["draw_figures", "draw_places", "key_rows", "name_objects", "name_people", "name_places"]

Array = NDArray[np.float64]

_LEAST_IN = 0.13
"""Shoulders of a person and the foot of a cone are not drawn narrower, so that a plan of a long road shows them."""

_CONE_IN = 0.08
_DARK_LX, _LIT_LX = 0.1, 1.0


def draw_figures(axes: Axes, variant: VariantResult, per_m: float, space: FreeSpace) -> None:
    """Draws every person and object that lies on the map, and marks it as taken.

    Parameters
    ----------
    axes : the map.
    variant : whose figures.
    per_m : sheet inches per metre of the map.
    space : where names may go afterwards.
    """
    for figure in variant.site.figures:
        if _on_map(figure.position_m, space.limits):
            (_draw_person if figure.kind == "person" else _draw_object)(axes, figure, per_m)
            space.take(_reach(figure, per_m))


def draw_places(axes: Axes, variant: VariantResult, level: Level, per_m: float, space: FreeSpace) -> None:
    """Draws the darkest place to stand in every area, and marks it as taken.

    Parameters
    ----------
    axes, per_m, space : as in `draw_figures`.
    variant, level : whose places, and at which light.
    """
    for (along, left), _ in _places(variant, level, space.limits):
        axes.plot(along, left, "x", ms=4.5, mec="black", mew=2.8, zorder=7.2)
        axes.plot(along, left, "x", ms=4.5, mec="white", mew=1.3, zorder=7.2)
        half = 0.045 / per_m
        space.take((along - half, left - half, along + half, left + half))


def name_people(axes: Axes, variant: VariantResult, per_m: float, space: FreeSpace, size: float) -> None:
    """Writes the ids of people beside them.

    Parameters
    ----------
    axes, variant, per_m, space : as in `draw_figures`.
    size : of the letters [pt].
    """
    _name(axes, variant, per_m, space, size, people=True)


def name_objects(axes: Axes, variant: VariantResult, per_m: float, space: FreeSpace, size: float) -> None:
    """Writes the ids of objects beside them.

    Parameters
    ----------
    axes, variant, per_m, space, size : as in `name_people`.
    """
    _name(axes, variant, per_m, space, size, people=False)


def _name(axes: Axes, variant: VariantResult, per_m: float, space: FreeSpace, size: float, *, people: bool) -> None:
    for figure in variant.site.figures:
        if (figure.kind == "person") is people and _on_map(figure.position_m, space.limits):
            _beside(axes, _reach(figure, per_m), figure.figure_id, size, per_m, space)


def name_places(axes: Axes, variant: VariantResult, level: Level, per_m: float, space: FreeSpace, size: float) -> None:
    """Writes the light on a torso beside each darkest place.

    Parameters
    ----------
    axes, variant, level, per_m, space : as in `draw_places`.
    size : of the letters [pt].
    """
    half = 0.045 / per_m
    for (along, left), lux in _places(variant, level, space.limits):
        mark = (along - half, left - half, along + half, left + half)
        text = f"× {lux_figure(lux)} lx" if lux >= _DARK_LX else f"× below {_DARK_LX:g} lx"
        _beside(axes, mark, text, size, per_m, space)


def key_rows(variant: VariantResult, level: Level, limits: Rectangle) -> Iterator[str]:
    """What the signs mean, for the key; nothing of what is not drawn.

    Parameters
    ----------
    variant, level : as in `draw_places`.
    limits : of the map.
    """
    kinds = {figure.kind for figure in variant.site.figures if _on_map(figure.position_m, limits)}
    words = ["person (tick ahead)"] if "person" in kinds else []
    words += ["cone (dot)"] if "cone" in kinds else []
    words += ["panel or barricade (tick at its front)"] if kinds & {"panel", "barricade"} else []
    off = [figure.figure_id for figure in variant.site.figures if not _on_map(figure.position_m, limits)]
    if words:
        yield f"White figures: {', '.join(words)}"
    if off:
        yield f"Off this plan: {', '.join(off)}"
    if any(True for _ in _places(variant, level, limits)):
        yield "× darkest place to stand in an area, with the mean light on the torso's sides"


def _on_map(position_m: tuple[float, float, float], limits: Rectangle) -> bool:
    left, bottom, right, top = limits
    return left < position_m[0] < right and bottom < position_m[1] < top


def _places(variant: VariantResult, level: Level, limits: Rectangle) -> Iterator[tuple[tuple[float, float], float]]:
    """Darkest place in plan and the light there, of areas on the ground where at least some place is lit."""
    ground = {area.area_id for area in variant.areas if not area.on}
    for area in variant.standing:
        entry = next((one for one in area.entries if (one.state, one.light) == (level.state, level.light)), None)
        lit = entry is not None and entry.best_torso_lx >= _LIT_LX and area.area_id in ground
        if entry is not None and lit and _on_map(entry.place_m, limits):
            yield entry.place_m[:2], entry.torso_lx


def _size_m(figure: FigureDrawing, parts: tuple[str, ...] = ()) -> tuple[float, float]:
    """Depth and width of a figure, or of some of its parts, along the way it faces."""
    corners = _turned(figure, parts)
    deep, wide = np.ptp(corners, axis=0).tolist()
    return deep, wide


def _turned(figure: FigureDrawing, parts: tuple[str, ...] = ()) -> Array:
    """Corners of the boxes in plan, forward and left of the figure's place (n, 2)."""
    boxes = [box for box in figure.boxes if not parts or box.body_id in parts]
    corners = np.concatenate([body_outline(box) for box in boxes]) - np.array(figure.position_m[:2])
    turn = math.radians(figure.facing_deg)
    return np.asarray(corners @ np.array([(math.cos(turn), -math.sin(turn)), (math.sin(turn), math.cos(turn))]))


def _grown(size_m: float, per_m: float, least_in: float) -> float:
    """How many times larger than true a figure is drawn."""
    return max(1.0, least_in / (size_m * per_m))


def _reach(figure: FigureDrawing, per_m: float) -> Rectangle:
    """Rectangle around a figure as it is drawn."""
    half = 0.5 * max(*_size_m(figure), (_LEAST_IN if figure.kind == "person" else _CONE_IN) / per_m)
    x, y = figure.position_m[:2]
    if figure.kind in ("person", "cone"):
        return (x - half, y - half, x + half, y + half)
    corners = np.concatenate([body_outline(box) for box in figure.boxes])
    edge = 0.03 / per_m
    (left, bottom), (right, top) = (corners.min(axis=0) - edge).tolist(), (corners.max(axis=0) + edge).tolist()
    return (left, bottom, right, top)


def _draw_person(axes: Axes, figure: FigureDrawing, per_m: float) -> None:
    """Shoulders as an ellipse, the head as a disk upon them, and a tick ahead."""
    (deep, wide), (_, head) = _size_m(figure, ("torso",)), _size_m(figure, ("head",))
    grown = _grown(wide, per_m, _LEAST_IN)
    middle, skull = (_place(figure, grown * _turned(figure, (part,)).mean(axis=0)) for part in ("torso", "head"))
    tip = _place(figure, np.array([grown * (0.5 * deep + 0.55 * wide), 0.0]))
    style = {"edgecolor": "black", "linewidth": 1.0, "zorder": 7.5}
    ends = ((skull[0], tip[0]), (skull[1], tip[1]))
    axes.plot(*ends, color="white", lw=1.6, zorder=7.4, path_effects=halo(3.4), solid_capstyle="butt")
    gid = f"person {figure.figure_id}"
    axes.add_patch(
        Ellipse(middle, grown * deep, grown * wide, angle=figure.facing_deg, facecolor="white", gid=gid, **style)
    )
    axes.add_patch(Circle(skull, 0.4 * grown * head, facecolor="black", **style))


def _draw_object(axes: Axes, figure: FigureDrawing, per_m: float) -> None:
    """A cone as the square of its foot with a dot, anything else as its outline with a tick at its front."""
    gid = f"{figure.kind} {figure.figure_id}"
    grown = _grown(max(_size_m(figure)), per_m, _CONE_IN) if figure.kind == "cone" else 1.0
    middle = np.array(figure.position_m[:2])
    style = {"facecolor": "white", "edgecolor": "black", "linewidth": 0.8, "zorder": 7.3}
    for box in sorted(figure.boxes, key=lambda one: one.centre_m[2])[: 1 if figure.kind == "cone" else None]:
        outline = middle + grown * (body_outline(box) - middle)
        if len(outline) > 2:
            axes.add_patch(Polygon(outline, closed=True, gid=gid, **style))
    if figure.kind == "cone":
        axes.plot(*middle, "o", ms=1.8, color="black", zorder=7.35)
        return
    deep, wide = _size_m(figure)
    side = np.array([_place(figure, np.array([0.0, part * wide])) for part in (-0.5, 0.5)])
    front = np.array([_place(figure, np.array([ahead, 0.0])) for ahead in (0.0, deep + 0.1 / per_m)])
    for line in (side, front):
        axes.plot(*line.T, color="white", lw=1.2, zorder=7.35, path_effects=halo(2.6), solid_capstyle="butt")


def _place(figure: FigureDrawing, away: Array) -> tuple[float, float]:
    """A place forward and left of a figure, in plan."""
    turn = math.radians(figure.facing_deg)
    forward, left = away.tolist()
    return (
        figure.position_m[0] + forward * math.cos(turn) - left * math.sin(turn),
        figure.position_m[1] + forward * math.sin(turn) + left * math.cos(turn),
    )


def _beside(axes: Axes, rectangle: Rectangle, text: str, size: float, per_m: float, space: FreeSpace) -> None:
    """A label near what it belongs to, with a line to it where it had to go further off."""
    width, height = text_width_in(text, size) / per_m + 0.1, 1.4 * size / 72 / per_m
    found = space.place(_nearest_first(rectangle, width, height, 0.02 / per_m), width, height, must=True)
    if found:
        leader(axes, found, rectangle, height)
        label(axes, *found, text, size)


def _nearest_first(rectangle: Rectangle, width: float, height: float, gap: float) -> Iterator[tuple[float, float]]:
    """Places around it, ring by ring: at its sides first, then above and below, then at its corners."""
    left, bottom, right, top = rectangle
    middle = ((left + right) / 2, (bottom + top) / 2)
    for ring in range(9):
        away = gap + 0.9 * ring * height
        x = ((right - left + width) / 2 + away, (right - left) / 2 + away)
        y = (top - bottom + height) / 2 + away
        for sides, ups in ((1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (1, 1), (-1, -1), (-1, 1)):
            across = x[0] if not ups else x[1] + width / 2 - away
            yield middle[0] + sides * across, middle[1] + ups * y
