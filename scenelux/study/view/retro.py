"""Light that tape, sheeting and lane markings send back to the eye from its own headlamps, and from no other lamp."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Blockers, Hits, Lamps, hit_points, illuminance
from scenelux.engine.image.air import Haze
from scenelux.study.view.materials import Materials
from scenelux.vision import retro_angles, retroreflected_luminance, retroreflection_coefficient

__all__ = ["Places", "sent_back", "sent_back_over"]

Array = NDArray[np.float64]
Singles = NDArray[np.float32]

EDGE_ON = 1e-3
"""Cosine of light or view against the normal; flatter ones count as this one."""

Places = tuple[Array, Array, NDArray[np.int32]]
"""Points (n, 3) [m], normals (n, 3) towards the viewer, and numbers of their planes (n,)."""


def sent_back_over(
    hits: Hits,
    planes: NDArray[np.int32],
    materials: Materials,
    paint: Singles,
    paint_per_lux: float,
    own: Lamps,
    haze: Haze | None,
) -> Singles:
    """Luminance of retroreflective parts of a picture by the light of each own headlamp, at full output.

    Parameters
    ----------
    hits, planes : what the picture shows; planes of `planes_seen`.
    materials : what is retroreflective.
    paint : (h, w) share of every pixel that is a lane marking.
    paint_per_lux : of the markings, luminance per lux square to the light [1/sr].
    own : headlamps of the vehicle in which the eye is.
    haze : the air; none is clear.

    Returns
    -------
    (own lamps, h, w) [cd/m2].
    """
    found = np.zeros((len(own), *planes.shape), np.float32)
    wanted = np.isin(planes, [sheet.plane for sheet in materials.sheets]) | (paint > 0.0)
    if len(own) and wanted.any():
        places = (*hit_points(hits, wanted), planes[wanted])
        bright = np.asarray(paint[wanted], np.float64) * paint_per_lux
        found[:, wanted] = sent_back(places, hits.camera.eye_m, materials, own, hits.blockers, haze, bright)
    return found


def sent_back(
    places: Places,
    eye_m: Array,
    materials: Materials,
    own: Lamps,
    blockers: Blockers,
    haze: Haze | None,
    paint_per_lux: Array | float = 0.0,
) -> Array:
    """The same at points.

    Parameters
    ----------
    places : what is looked at.
    eye_m : (3,) the eye [m].
    materials, own, haze : as in `sent_back_over`.
    blockers : what stands in the light.
    paint_per_lux : (n,) of the markings at each point, their share counted in [1/sr].

    Returns
    -------
    (own lamps, n) [cd/m2].
    """
    points, normals, plane = places
    light = np.nan_to_num(illuminance(own, blockers, points, normals))
    found = np.zeros(light.shape)
    for lamp, lux in enumerate(light):
        at_lamp = own.position_m[lamp]
        angles = retro_angles(at_lamp, eye_m, points, normals)
        square = lux / np.maximum(np.cos(np.radians(angles.entrance_deg)), EDGE_ON)
        found[lamp] = paint_per_lux * square
        view = np.minimum(angles.view_deg, np.degrees(np.arccos(EDGE_ON)))
        for sheet in materials.sheets:
            at = (plane == sheet.plane) & (square > 0.0)
            if at.any():
                pair = angles.observation_deg[at], angles.entrance_deg[at]
                back = retroreflection_coefficient(sheet.material, *pair, colour=sheet.colour, continued=True)
                found[lamp][at] += sheet.share * retroreflected_luminance(np.nan_to_num(back), square[at], view[at])
        if haze is not None:
            way = np.linalg.norm(points - at_lamp, axis=1) + np.linalg.norm(points - eye_m, axis=1)
            found[lamp] *= haze.transmitted(way)
    return found
