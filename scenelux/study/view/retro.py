"""Light that tape, sheeting and lane markings send back to the eye from its own headlamps, and from no other lamp."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from scenelux.engine import Hits, Lamps, hit_points, illuminance
from scenelux.engine.image.air import Haze
from scenelux.study.view.lamps import chosen
from scenelux.study.view.materials import Sheet
from scenelux.vision import retro_angles, retroreflected_luminance, retroreflection_coefficient

__all__ = ["sent_back"]

Array = NDArray[np.float64]
Singles = NDArray[np.float32]

EDGE_ON = 1e-3
"""Cosine of light or view against the normal; flatter ones count as this one."""


def sent_back(
    hits: Hits,
    planes: NDArray[np.int32],
    sheets: tuple[Sheet, ...],
    paint: Singles,
    paint_per_lux: float,
    own: Lamps,
    haze: Haze | None,
) -> Singles:
    """Luminance of retroreflective parts by the light of each own headlamp, at full output.

    Parameters
    ----------
    hits, planes : what the picture shows; planes of `planes_seen`.
    sheets : material on planes.
    paint : (h, w) share of every pixel that is a lane marking.
    paint_per_lux : of the markings, luminance per lux square to the light [1/sr].
    own : headlamps of the vehicle in which the eye is.
    haze : the air; none is clear.

    Returns
    -------
    (own lamps, h, w) [cd/m2].
    """
    found = np.zeros((len(own), *planes.shape), np.float32)
    wanted = np.isin(planes, [sheet.plane for sheet in sheets]) | (paint > 0.0)
    if not len(own) or not wanted.any():
        return found
    points, normals = hit_points(hits, wanted)
    plane, share = planes[wanted], paint[wanted]
    for lamp in range(len(own)):
        found[lamp][wanted] = _one(
            hits, points, normals, plane, share, sheets, paint_per_lux, chosen(own, [lamp]), haze
        )
    return found


def _one(
    hits: Hits,
    points: Array,
    normals: Array,
    plane: NDArray[np.int32],
    paint: Singles,
    sheets: tuple[Sheet, ...],
    paint_per_lux: float,
    lamp: Lamps,
    haze: Haze | None,
) -> Array:
    """Luminance of the wanted pixels by one headlamp."""
    place, eye = lamp.position_m[0], hits.camera.eye_m
    lux = np.nan_to_num(illuminance(lamp, hits.blockers, points, normals)[0])
    angles = retro_angles(place, eye, points, normals)
    square = lux / np.maximum(np.cos(np.radians(angles.entrance_deg)), EDGE_ON)
    luminance = np.where(plane == 0, paint * paint_per_lux * square, 0.0)
    view = np.minimum(angles.view_deg, np.degrees(np.arccos(EDGE_ON)))
    for sheet in sheets:
        at = (plane == sheet.plane) & (square > 0.0)
        if at.any():
            back = retroreflection_coefficient(
                sheet.material, angles.observation_deg[at], angles.entrance_deg[at], colour=sheet.colour
            )
            luminance[at] += sheet.share * retroreflected_luminance(np.nan_to_num(back), square[at], view[at])
    if haze is not None:
        luminance *= haze.transmitted(np.linalg.norm(points - place, axis=1) + np.linalg.norm(points - eye, axis=1))
    return luminance
