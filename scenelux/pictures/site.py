"""Draws what stands around the light on a plan: lanes, the truck to scale, lamps with their aim, areas.

A plan has the site's along axis to the right and its left axis up, so left is left when looking along.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from numpy.typing import NDArray

from scenelux.pictures.facts import area_tags
from scenelux.pictures.labels import FreeSpace, around
from scenelux.pictures.levels import Level
from scenelux.pictures.text import FAMILY, drawable, fit, text_width_in
from scenelux.study.results import AreaResult, BodyDrawing, VariantResult

__all__ = [
    "body_outline",
    "draw_areas",
    "draw_lamps",
    "draw_lanes",
    "draw_vehicles",
    "halo",
    "keep_off_edges",
    "label",
    "leader",
]

Array = NDArray[np.float64]


def halo(width: float = 1.8, color: str = "black") -> list[Any]:
    """A dark edge around light letters and lines, so that they show on every colour."""
    return [withStroke(linewidth=width, foreground=color)]


def label(axes: Axes, x: float, y: float, text: str, size: float, **style: Any) -> None:
    """Writes a centred label on a map.

    Parameters
    ----------
    axes : the map.
    x, y : centre, in data units.
    text : one line.
    size : of the letters [pt].
    style : further text properties.
    """
    style = {"color": "white", "path_effects": halo(), **style}
    axes.text(
        x,
        y,
        drawable(text),
        fontsize=size,
        family=FAMILY,
        ha="center",
        va="center",
        parse_math=False,
        zorder=9,
        **style,
    )


_FROM_ABOVE: Array = np.eye(2, 3)


def body_outline(body: BodyDrawing, across_up: Array = _FROM_ABOVE) -> Array:
    """Outline of a body, counter-clockwise, (corners, 2) [m]; in the site frame when seen from above.

    Parameters
    ----------
    body : of a vehicle, a person or an object.
    across_up : (2, 3) the directions of the site that lie to the right and up on the drawing; from above when left out.
    """
    signs = [(a, b, c) for a in (-1, 1) for b in (-1, 1) for c in (-1, 1)]
    half, axes = np.array(body.half_m), np.array(body.axes)
    corners = np.array(body.centre_m) + (np.array(signs) * half) @ axes
    return _hull(corners @ across_up.T)


def _hull(points: Array) -> Array:
    """Convex hull by a sweep over the sorted points."""
    ordered = sorted({(round(x, 9), round(y, 9)) for x, y in points.tolist()})

    def chain(items: list[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for x, y in items:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], (x, y)) <= 1e-12:
                kept.pop()
            kept.append((x, y))
        return kept[:-1]

    return np.array(chain(ordered) + chain(ordered[::-1]))


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def draw_vehicles(axes: Axes, variant: VariantResult, space: FreeSpace) -> None:
    """Draws every body to scale, the higher over the lower, with a wedge that points to each vehicle's front.

    Parameters
    ----------
    axes : the map.
    variant : whose bodies and vehicles are drawn.
    space : the truck is marked as taken.
    """
    for body in sorted(variant.site.bodies, key=lambda one: one.centre_m[2] + one.half_m[2]):
        outline = body_outline(body)
        tall = body.centre_m[2] + body.half_m[2] > 1.0
        axes.add_patch(
            Polygon(
                outline,
                closed=True,
                facecolor="#d4d4d4" if tall else "#b4b4b4",
                edgecolor="black",
                linewidth=0.9,
                zorder=4,
                gid=f"body {body.vehicle_id} {body.body_id}",
            )
        )
        (left, bottom), (right, top) = outline.min(axis=0).tolist(), outline.max(axis=0).tolist()
        space.take((left, bottom, right, top))
    for vehicle_id, origin, heading_deg in variant.site.vehicles:
        _mark_vehicle(axes, variant, vehicle_id, origin, heading_deg)


def _mark_vehicle(
    axes: Axes, variant: VariantResult, vehicle_id: str, origin: tuple[float, float, float], heading_deg: float
) -> None:
    """Origin of the vehicle frame as a cross in a ring, and a wedge at the front."""
    turn = np.radians(heading_deg)
    forward, left = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    outlines = [body_outline(body) for body in variant.site.bodies if body.vehicle_id == vehicle_id]
    if outlines:
        corners = np.concatenate(outlines) - np.array(origin[:2])
        front, side = (corners @ forward).max(), np.abs(corners @ left).max()
        tip = np.array(origin[:2]) + forward * (front - 0.15 * side)
        back = tip - forward * 0.55 * side
        wedge = [tip, back + 0.5 * side * left, back - 0.5 * side * left]
        axes.add_patch(Polygon(wedge, closed=True, facecolor="black", edgecolor="none", zorder=5))
        middle = np.array(origin[:2]) + forward * 0.5 * (front + (corners @ forward).min())
        turned = (heading_deg + 90.0) % 180.0 - 90.0
        label(axes, float(middle[0]), float(middle[1]), vehicle_id, 7, color="black", path_effects=[], rotation=turned)
    axes.plot(*origin[:2], marker="o", ms=7, mfc="white", mec="black", mew=0.8, zorder=6)
    axes.plot(*origin[:2], marker="+", ms=7, mec="black", mew=1.0, zorder=6)


def draw_lamps(axes: Axes, variant: VariantResult, level: Level, reach_m: float, space: FreeSpace) -> None:
    """Draws lamps that are on with an arrow along their aim, shorter as they point down, and the others hollow.

    Parameters
    ----------
    axes : the map.
    variant, level : which lamps are on.
    reach_m : length of the arrow of a level lamp [m].
    space : marked as taken around each lamp.
    """
    share = dict(zip(variant.map.lamp_ids, variant.map.levels[level.state, level.light].tolist(), strict=True))
    lit = [lamp for lamp in variant.lamps if share.get(lamp.lamp_id, 0.0) > 0.0]
    dark = [lamp for lamp in variant.lamps if lamp not in lit]
    for lamp in variant.lamps:
        x, y, _ = lamp.position_m
        reach = reach_m if lamp in lit else 0.0
        ends = (x + reach * lamp.beam[0], y + reach * lamp.beam[1])
        space.take((min(x, ends[0]) - 0.2, min(y, ends[1]) - 0.2, max(x, ends[0]) + 0.2, max(y, ends[1]) + 0.2))
    if lit:
        starts = np.array([lamp.position_m[:2] for lamp in lit])
        aims = np.array([lamp.beam[:2] for lamp in lit]) * reach_m
        axes.quiver(
            *starts.T,
            *aims.T,
            angles="xy",
            scale_units="xy",
            scale=1,
            units="dots",
            width=3.4,
            headwidth=3.2,
            headlength=3.6,
            headaxislength=3.4,
            minlength=0.1,
            color="white",
            edgecolor="black",
            linewidth=0.9,
            zorder=7,
        )
        axes.plot(*starts.T, "o", ms=4.5, mfc="white", mec="black", mew=0.9, zorder=8, ls="none")
    if dark:
        axes.plot(
            *np.array([lamp.position_m[:2] for lamp in dark]).T,
            "o",
            ms=3.5,
            mfc="#777777",
            mec="black",
            mew=0.6,
            zorder=8,
            ls="none",
        )


def draw_lanes(axes: Axes, variant: VariantResult, per_m: float, space: FreeSpace, size: float = 6.5) -> None:
    """Draws lane edges, and names each lane with the way its traffic goes.

    Parameters
    ----------
    axes : the map.
    variant : whose site is drawn.
    per_m : sheet inches per metre of the map.
    space : where names may go.
    size : of the letters [pt].
    """
    left, bottom, right, top = space.limits
    for lane in variant.site.lanes:
        edges = (lane.centre_left_m - lane.width_m / 2, lane.centre_left_m + lane.width_m / 2)
        for edge in edges:
            if bottom < edge < top:
                axes.plot((left, right), (edge, edge), color="#b8b8b8", lw=0.7, ls=(0, (8, 5)), zorder=2)
        text = f"{lane.name} →" if lane.direction == "same" else f"← {lane.name}"
        width, height = text_width_in(text, size) / per_m + 0.3, 1.5 * size / 72 / per_m
        xs = [left + share * (right - left) for share in (0.88, 0.75, 0.12, 0.25, 0.62, 0.5, 0.38)]
        found = space.place([(x, lane.centre_left_m) for x in xs], width, height)
        if found:
            label(axes, *found, text, size)


def draw_areas(
    axes: Axes, variant: VariantResult, per_m: float, space: FreeSpace, size: float = 7.0, *, letters: bool = False
) -> None:
    """Draws the outline of every area and names it; areas with one outline share a name.

    Parameters
    ----------
    axes : the map.
    variant : whose areas are drawn.
    per_m : sheet inches per metre of the map.
    space : where names may go.
    size : of the letters [pt].
    letters : leave all but the letters of the areas out.
    """
    tags = area_tags(variant)
    groups: dict[bytes, list[AreaResult]] = {}
    for area in variant.areas:
        groups.setdefault(np.round(area.outline_m[:, :2], 3).tobytes(), []).append(area)
    keep_off_edges(variant, space)
    for areas in groups.values():
        outline = areas[0].outline_m[:, :2]
        axes.add_patch(
            Polygon(
                outline,
                closed=True,
                fill=False,
                edgecolor="white",
                linewidth=1.1,
                linestyle=(0, (4, 2)),
                zorder=5,
                path_effects=halo(2.2),
            )
        )
        names = f"{', '.join(tags[one.area_id] for one in areas)}  {areas[0].name}"
        rectangle = (*outline.min(axis=0).tolist(), *outline.max(axis=0).tolist())
        for text in (fit(names, 3.0, size, True), names.split("  ")[0])[letters:]:
            width, height = text_width_in(text, size, True) / per_m + 0.2, 1.5 * size / 72 / per_m
            found = space.place(around(rectangle, width, height, 0.08), width, height, must=True)
            if found:
                leader(axes, found, rectangle, height)
                label(axes, *found, text, size, weight="bold")
                break


def leader(
    axes: Axes, centre: tuple[float, float], rectangle: tuple[float, float, float, float], height: float
) -> None:
    """A thin line from a name to what it belongs to, when the name had to go further off.

    Parameters
    ----------
    axes : the map.
    centre, height : of the name, in data units.
    rectangle : around what it belongs to.
    """
    left, bottom, right, top = rectangle
    near = (min(max(centre[0], left), right), min(max(centre[1], bottom), top))
    if abs(near[1] - centre[1]) > 1.2 * height:
        axes.plot((near[0], centre[0]), (near[1], centre[1]), color="white", lw=0.8, zorder=8, path_effects=halo(1.8))


def keep_off_edges(variant: VariantResult, space: FreeSpace) -> None:
    """Keeps names off the edges of all areas."""
    for area in variant.areas:
        _take_edges(area.outline_m, space)


def _take_edges(outline_m: Array, space: FreeSpace) -> None:
    """Keeps names off the straight edges of an outline."""
    for (a, b, _), (c, d, _) in zip(outline_m.tolist(), np.roll(outline_m, -1, axis=0).tolist(), strict=True):
        if abs(a - c) < 1e-6 or abs(b - d) < 1e-6:
            space.lines.append((min(a, c) - 0.05, min(b, d) - 0.05, max(a, c) + 0.05, max(b, d) + 0.05))
