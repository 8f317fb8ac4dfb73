"""The plan map: ground illuminance in false colour with isolux lines, truck, lamps, lanes and areas."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from scenelux.pictures.facts import Limit, lamps_on, limits_drawn, say_level, write_facts
from scenelux.pictures.figures import draw_figures, draw_places, key_rows, name_objects, name_people, name_places
from scenelux.pictures.frames import Ticks, bare_axes, draw_ticks, signed
from scenelux.pictures.labels import FreeSpace, along_paths, paths_of
from scenelux.pictures.levels import Level
from scenelux.pictures.margins import KEY_HEIGHT_IN, draw_key, draw_lux_bar
from scenelux.pictures.scale import DifferenceScale, LuxScale
from scenelux.pictures.sheet import BODY, Box, Column, Sheet, new_sheet, put
from scenelux.pictures.site import draw_areas, draw_lamps, draw_lanes, draw_vehicles, halo, keep_off_edges, label
from scenelux.pictures.text import fit, text_width_in
from scenelux.pictures.words import variant_title
from scenelux.study.results import SiteMap, StudyResult, VariantResult
from scenelux.units import FOOT_M, UnitSystem, figure

__all__ = ["QUANTITY", "draw_ground", "draw_isolux", "map_axes", "map_box", "map_extent", "plan_map", "plan_sheet"]

Array = NDArray[np.float64]

QUANTITY = (
    "Illuminance on the horizontal plane at ground level, maintained (with light loss factors), lamps of the scene only"
)


def plan_sheet(result: StudyResult, variant: VariantResult, level: Level, scale: LuxScale) -> Sheet:
    """The plan of one variant in one duty state at one light level.

    Parameters
    ----------
    result : the study.
    variant, level : what is drawn.
    scale : the lux scale of the whole study.
    """
    sheet = new_sheet(
        result,
        f"Light on the ground · {variant_title(result, variant)}",
        say_level(result, level),
        QUANTITY,
        variant,
    )
    body, panel = BODY.cut_right(2.5, 0.2)
    body, key = body.cut_bottom(KEY_HEIGHT_IN, 0.42)
    box, bar = body.cut_right(0.5, 0.45)
    limits = limits_drawn(variant, level)
    room = Box(box.left + 0.42, box.bottom, box.width - 0.42, box.height)
    drawn, per_m = plan_map(sheet, room, result, variant, level, scale)
    draw_lux_bar(sheet, Box(bar.left, drawn.bottom, 0.2, drawn.height - 0.22), scale, result.units, limits)
    key = Box(key.left, drawn.bottom - 0.42 - key.height, key.width, key.height)
    draw_key(sheet, key, per_m, bool(limits), tuple(key_rows(variant, level, map_extent(variant.map))))
    facts = Column(sheet, panel)
    write_facts(facts, result, variant, level)
    _write_lamps(sheet, facts, Box(key.left, BODY.bottom, key.width, key.bottom - 0.1 - BODY.bottom), variant, level)
    return sheet


def _write_lamps(sheet: Sheet, facts: Column, below: Box, variant: VariantResult, level: Level) -> None:
    """The lamps that are on: in two columns below the key where they fit, else after the facts."""
    lamps = lamps_on(variant, level)
    if below.height < 0.3 + 0.13 * ((len(lamps) + 1) // 2 + 1):
        facts.space(0.05)
        facts.line("Lamps on", 7.5, bold=True)
        for text in lamps:
            facts.line(text, 6.5, indent=0.15)
        return
    put(sheet, below.left, below.top, "Lamps on: level, and aim on the vehicle", 7.5, bold=True)
    half = (len(lamps) + 1) // 2
    for number, text in enumerate(lamps):
        left, row = below.left + (number // half) * below.width / 2, number % half
        put(sheet, left, below.top - 0.17 - 0.13 * row, fit(text, below.width / 2 - 0.15, 6.5), 6.5)


def plan_map(
    sheet: Sheet,
    box: Box,
    result: StudyResult,
    variant: VariantResult,
    level: Level,
    scale: LuxScale,
    *,
    small: bool = False,
) -> tuple[Box, float]:
    """A plan map with everything on it, within a box: where it came to lie, and the sheet inches per metre.

    Parameters
    ----------
    sheet : to draw on.
    box : room for the map without its ticks.
    result, variant, level : what is drawn.
    scale : the lux scale of the whole study.
    small : take smaller letters, for several maps on a sheet.
    """
    drawn, per_m = map_box(box, variant.map)
    axes, space = map_axes(sheet, drawn, variant.map, result.units)
    lux = variant.map.illuminance_lx(level.state, level.light)
    draw_ground(axes, variant.map, lux, scale)
    draw_vehicles(axes, variant, space)
    left, _, right, _ = space.limits
    draw_lamps(axes, variant, level, 0.085 * (right - left), space)
    size = 5.5 if small else 6.5
    draw_figures(axes, variant, per_m, space)
    draw_places(axes, variant, level, per_m, space)
    keep_off_edges(variant, space)
    name_people(axes, variant, per_m, space, size)
    draw_areas(axes, variant, per_m, space, size + 0.5)
    draw_isolux(axes, variant.map, lux, scale, limits_drawn(variant, level), per_m, space)
    name_objects(axes, variant, per_m, space, size)
    name_places(axes, variant, level, per_m, space, size)
    draw_lanes(axes, variant, per_m, space, size)
    return drawn, per_m


def map_box(box: Box, site_map: SiteMap) -> tuple[Box, float]:
    """The part of a box that a map fills at true aspect, and the sheet inches per metre."""
    left, bottom, right, top = map_extent(site_map)
    per_m = min(box.width / (right - left), box.height / (top - bottom))
    width, height = per_m * (right - left), per_m * (top - bottom)
    return Box(box.left + (box.width - width) / 2, box.top - height, width, height), per_m


def map_axes(sheet: Sheet, box: Box, site_map: SiteMap, units: UnitSystem) -> tuple[Axes, FreeSpace]:
    """Axes of a map that fill a box of its own aspect, and its free space.

    Parameters
    ----------
    sheet : to draw on.
    box : of the map's aspect.
    site_map : whose extent is shown.
    units : of the ticks, "metric" or "us".
    """
    limits = map_extent(site_map)
    left, bottom, right, top = limits
    axes = bare_axes(sheet, box)
    axes.set(xlim=(left, right), ylim=(bottom, top), facecolor="#9a9a9a", label="map")
    draw_ticks(sheet, box, _side(left, right, "along", units), _side(bottom, top, "left", units))
    return axes, FreeSpace(limits)


def _side(low_m: float, high_m: float, name: str, units: UnitSystem) -> Ticks:
    """Round numbers along one side of a map."""
    unit_m, unit = (FOOT_M, "ft") if units == "us" else (1.0, "m")
    ticks = _ticks(low_m / unit_m, high_m / unit_m)
    marks = tuple(((tick * unit_m - low_m) / (high_m - low_m), signed(tick)) for tick in ticks)
    return Ticks(marks, f"{name} [{unit}]")


def map_extent(site_map: SiteMap) -> tuple[float, float, float, float]:
    """Left, bottom, right and top edge of the cells of a map, site frame [m]."""
    along, left = site_map.along_m, site_map.left_m
    a, b = ((line[-1] - line[0]) / max(len(line) - 1, 1) / 2 for line in (along, left))
    return float(along[0] - a), float(left[0] - b), float(along[-1] + a), float(left[-1] + b)


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers between two ends, about eight of them."""
    step = next(step for step in (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1e3, 1e4, 1e9) if (high - low) / step <= 9)
    first, last = int(np.ceil(low / step - 1e-9)), int(np.floor(high / step + 1e-9))
    return [number * step for number in range(first, last + 1)]


def draw_ground(axes: Axes, site_map: SiteMap, lux: Array, scale: LuxScale | DifferenceScale) -> None:
    """Draws illuminance, or a ratio of it, in false colour; points without a value keep the colour of the axes.

    Parameters
    ----------
    axes : the map.
    site_map : where the cells are.
    lux : (rows, columns) [lx], or a ratio.
    scale : its colours: the lux scale of the whole study, or that of differences.
    """
    left, bottom, right, top = map_extent(site_map)
    axes.imshow(
        lux.T,
        origin="lower",
        extent=(left, right, bottom, top),
        norm=scale.norm,
        cmap=scale.colour_map,
        interpolation="nearest",
        aspect="auto",
        zorder=1,
    )


def draw_isolux(
    axes: Axes, site_map: SiteMap, lux: Array, scale: LuxScale, limits: list[Limit], per_m: float, space: FreeSpace
) -> None:
    """Draws labelled isolux lines: heavy at the limits that apply, thin at the decades.

    Parameters
    ----------
    axes : the map.
    site_map : where the cells are.
    lux : (rows, columns) [lx].
    scale : for the colours of thin lines.
    limits : the limits that apply.
    per_m : sheet inches per metre of the map.
    space : where labels may go.
    """
    wanted = [(one.value_lx, one.label, True) for one in limits]
    taken = [one.value_lx for one in limits]
    for decade in scale.decades_lx:
        if not any(0.8 < decade / value < 1.25 for value in taken):
            wanted.append((decade, f"{figure(decade)} lx", False))
    # Light falls off by powers, so lines run true between cells when the logarithm is interpolated.
    height = np.log10(np.maximum(lux.T, 1e-3))
    finite = height[np.isfinite(height)]
    for value, text, heavy in wanted:
        if finite.size and finite.min() < np.log10(value) < finite.max():
            _isoline(axes, site_map, height, value, text, heavy, scale, per_m, space)


def _isoline(
    axes: Axes,
    site_map: SiteMap,
    height: Array,
    value: float,
    text: str,
    heavy: bool,
    scale: LuxScale,
    per_m: float,
    space: FreeSpace,
) -> None:
    colour = "white" if heavy else scale.text_colour(value)
    lines = axes.contour(
        site_map.along_m,
        site_map.left_m,
        height,
        levels=[float(np.log10(value))],
        colors=[colour],
        linewidths=1.7 if heavy else 0.7,
        linestyles="solid" if heavy else "dotted",
        zorder=3,
    )
    if heavy:
        lines.set_path_effects(halo(3.0))
    size = 6.5
    width, tall = text_width_in(text, size, heavy) / per_m + 0.15, 1.45 * size / 72 / per_m
    found = space.place(along_paths(paths_of(lines)), width, tall, must=heavy)
    if found and heavy:
        box = {"facecolor": "white", "edgecolor": "black", "linewidth": 0.6, "pad": 1.2}
        label(axes, *found, text, size, color="black", path_effects=[], weight="bold", bbox=box)
    elif found:
        box = {"facecolor": scale.colour(value), "edgecolor": "none", "pad": 0.6}
        label(axes, *found, text, size, color=colour, path_effects=[], bbox=box)
