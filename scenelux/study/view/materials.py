"""How everything in a picture of a placed scene reflects: matt by surface and side, and the retroreflective parts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Hits
from scenelux.engine.image.reflect import Film
from scenelux.placement import PlacedScene
from scenelux.placement.boxes import Patch, Side
from scenelux.placement.materials import GroundSurface
from scenelux.study.view.tables import film_of

__all__ = ["GROUND_PLANE", "Materials", "Sheet", "materials_of", "planes_seen"]

Array = NDArray[np.float64]
Indices = NDArray[np.int32]

GROUND_PLANE = 0
SIDES: tuple[Side, ...] = ("front", "rear", "left", "right", "top")
"""In the order of the sides of a box in `Hits`: forward, rearward, left, right, up."""


@dataclass(frozen=True)
class Sheet:
    """Retroreflective material on the whole or a share of a plane."""

    plane: int
    share: float
    material: str
    colour: str


@dataclass(frozen=True, eq=False)
class Materials:
    """Planes of a picture and how they reflect: the ground is plane 0, side s of box b is plane 6 b + 1 + s.

    Parameters
    ----------
    per_lux : (planes,) matt luminance per lux of lamp light [1/sr].
    per_sky_lux : (planes,) luminance per lux of natural light on level ground [1/sr].
    sheets : retroreflective parts.
    film : of water on the ground.
    ground_words : how the ground is drawn.
    """

    per_lux: Array
    per_sky_lux: Array
    sheets: tuple[Sheet, ...]
    film: Film | None
    ground_words: str


def materials_of(placed: PlacedScene) -> Materials:
    """How a placed scene reflects.

    Parameters
    ----------
    placed : the scene on its site.

    Natural light comes from a sky that is the same all round, and from the ground; bodies throw no shadow in it.
    """
    film = film_of(placed.surface.name)
    reflectance = np.repeat([box.reflectance.value for box in placed.boxes], 6)
    sheets = []
    for patch in placed.patches:
        plane = _plane(placed, patch)
        reflectance[plane - 1] = patch.reflectance
        sheets += [Sheet(plane, cover.share, cover.material, cover.colour) for cover in patch.covers if cover.material]
    ground_lamps, ground_sky, words = _ground(placed.surface, film)
    axes = np.array([box.axes for box in placed.boxes], np.float64).reshape(-1, 3, 3)
    upward = np.stack((axes[:, :, 2], -axes[:, :, 2]), axis=2).reshape(-1)
    from_below = placed.surface.drawn.value
    sky = 0.5 * (1.0 + upward) + 0.5 * (1.0 - upward) * from_below
    return Materials(
        per_lux=np.concatenate(([ground_lamps], reflectance / np.pi)),
        per_sky_lux=np.concatenate(([ground_sky], reflectance * sky / np.pi)),
        sheets=tuple(sheets),
        film=film,
        ground_words=words,
    )


def planes_seen(hits: Hits) -> Indices:
    """Number of the plane that each pixel sees, (h, w); the sky has that after the last plane.

    Parameters
    ----------
    hits : what the picture shows; boxes only.
    """
    found = np.multiply(hits.surface, np.int32(6))
    found += hits.side
    found -= np.int32(5)
    np.maximum(found, GROUND_PLANE, out=found)
    found[hits.surface < 0] = 6 * len(hits.blockers) + 1
    return found


def _plane(placed: PlacedScene, patch: Patch) -> int:
    return 6 * (placed.surface_of(patch) - 1) + 1 + SIDES.index(patch.side)


def _ground(surface: GroundSurface, film: Film | None) -> tuple[float, float, str]:
    """Luminance per lux of lamps and of the sky, and both in words.

    Under a film the coefficient of the wet road holds the mirrored sky, but would count mirrored lamps twice.
    """
    matt = surface.drawn.value / np.pi
    known = surface.luminance_coefficient
    if known is None:
        return matt, matt, f"{surface.name}: matt, reflectance {surface.drawn.value:g}"
    if film is None:
        return known.value, known.value, f"{surface.name}: average luminance coefficient {known.value:g} cd/m² per lx"
    words = f"{surface.name}: matt, reflectance {surface.drawn.value:g}, and a simple mirror model of the film of water"
    return matt, known.value, words
