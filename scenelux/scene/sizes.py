"""Checks of sizes beyond any sense: grids, paths and the plan, before anything is computed."""

from __future__ import annotations

import math

from scenelux.errors import LimitError
from scenelux.scene.approaches import LEAST_START_M
from scenelux.scene.areas import Area
from scenelux.scene.document import Document
from scenelux.scene.model import SceneText
from scenelux.scene.pose import pose_of
from scenelux.scene.positions import KeyPath

__all__ = ["MOST_APPROACHES", "MOST_ON_SITE", "MOST_POINTS", "MOST_STATIONS", "check_sizes"]

MOST_ON_SITE = 200
"""People, and objects; each has several boxes."""
MOST_APPROACHES = 50

MOST_POINTS = 4_000_000
"""Points of all areas together; more is a slip of the pen."""
MOST_POINTS_OF_AN_AREA = 1_000_000
MOST_STATIONS = 10_000
LEAST_MAP_MARGIN_M = 4.0  # around lamps and areas, where the scene does not say what the plan shows


def check_sizes(scene: SceneText, document: Document) -> None:
    """Refuses grids and paths beyond any sense, before anything is computed."""
    total = 0
    for i, area in enumerate(scene.areas):
        points = _points(area)
        total += points
        if points > MOST_POINTS_OF_AN_AREA or total > MOST_POINTS:
            raise _too_large(document, ("areas", i, "grid"), f"{points:,} points", "a larger spacing or a smaller area")
    for i, eye in enumerate(scene.eyes):
        if eye.from_m is not None and eye.to_m is not None and (eye.from_m - eye.to_m) / eye.step_m > MOST_STATIONS:
            raise _too_large(document, ("eyes", i, "step"), f"more than {MOST_STATIONS:,} stations", "a larger step")
    for i, approach in enumerate(scene.approaches):
        start = approach.from_m or LEAST_START_M
        if (start - approach.to_m) / approach.step_m > MOST_STATIONS:
            what = f"more than {MOST_STATIONS:,} stations"
            raise _too_large(document, ("approaches", i, "step"), what, "a larger step")
    counts = (("people", scene.people), ("objects", scene.objects), ("approaches", scene.approaches))
    for key, found in counts:
        most = MOST_APPROACHES if key == "approaches" else MOST_ON_SITE
        if len(found) > most:
            raise _too_large(document, (key, most), f"{len(found):,} {key}", f"at most {most}")
    if scene.map.spacing_m is not None:
        cells = _cells(*_least_map(scene), scene.map.spacing_m)
        if cells > MOST_POINTS_OF_AN_AREA:
            raise _too_large(document, ("map", "spacing"), f"{cells:,} points", "a larger spacing")


def _least_map(scene: SceneText) -> tuple[tuple[float, float], tuple[float, float]]:
    """What the plan shows at least: the frame given, else the lamps and areas with a margin."""
    if scene.map.forward_m is not None and scene.map.left_m is not None:
        return scene.map.forward_m, scene.map.left_m
    poses = {vehicle.id: pose_of(scene.site, vehicle) for vehicle in scene.vehicles}
    points = [poses[vehicle.id].to_site(lamp.position_m) for vehicle in scene.vehicles for lamp in vehicle.lamps]
    for area in scene.areas:
        corners = area.polygon_m or tuple(zip(area.forward_m or (), area.left_m or (), strict=True))
        points += [poses[area.of].to_site((*at, 0.0)) if area.of in poses else (*at, 0.0) for at in corners]
    along, left, _ = zip(*points, strict=True)
    margin = LEAST_MAP_MARGIN_M
    return (min(along) - margin, max(along) + margin), (min(left) - margin, max(left) + margin)


def _too_large(document: Document, path: KeyPath, what: str, accepted: str) -> LimitError:
    error = document.error(path, f"would make {what}", f"give {accepted}")
    return LimitError(
        error.problem, file=error.file, line=error.line, column=error.column, key=error.key, value=error.value,
        accepted=f"{error.accepted}, at most {MOST_POINTS_OF_AN_AREA:,} points" if "points" in what else error.accepted,
    )  # fmt: skip


def _points(area: Area) -> int:
    if area.grid.counts is not None:
        return area.grid.counts[0] * area.grid.counts[1]
    if area.grid.spacing_m is None:
        return 0  # the published rule stays far below any limit
    if area.polygon_m is not None:
        along, left = ([corner[k] for corner in area.polygon_m] for k in (0, 1))
        return _cells((min(along), max(along)), (min(left), max(left)), area.grid.spacing_m)
    if area.forward_m is None or area.left_m is None:
        return 0
    return _cells(area.forward_m, area.left_m, area.grid.spacing_m)


def _cells(forward_m: tuple[float, float], left_m: tuple[float, float], spacing_m: float) -> int:
    """At most a million million: the smallest spacing of all would make more than can be counted."""
    sides = (min((high - low) / spacing_m, 1e6) for low, high in (forward_m, left_m))
    return math.prod(int(side + 1.0) for side in sides)
