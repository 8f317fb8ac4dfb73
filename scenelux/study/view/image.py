"""The luminance that an eye sees of a placed scene: everything but the veil that arises in the eye itself."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from scenelux.engine import (
    Blockers,
    Camera,
    Contributions,
    GroundPlane,
    Hits,
    Lamps,
    first_hits,
    illuminance_image,
    illuminance_images,
)
from scenelux.engine.image.air import Haze, airlight
from scenelux.engine.image.reflect import reflected
from scenelux.engine.threads import in_blocks
from scenelux.placement import PlacedScene
from scenelux.placement.road import Road
from scenelux.study.view.ground import Line, lane_lines
from scenelux.study.view.lamps import LampsSeen, lamps_seen, through
from scenelux.study.view.materials import Materials, materials_of
from scenelux.study.view.openings import add_openings
from scenelux.study.view.retro import sent_back_over
from scenelux.study.view.surfaces import SKY_PER_LUX, Surfaces, surfaces_of
from scenelux.study.view.tables import Markings, carries_markings, haze_of, markings

__all__ = ["ByLamp", "Seen", "Setting", "by_lamp", "luminance", "setting"]

Array = NDArray[np.float64]
Singles = NDArray[np.float32]

AT_ONCE = 8
"""Lamps whose light is kept apart at the same time in a large picture."""

AIR_EVERY = (4, 6)
"""The light of the air is followed along every fourth line of sight, both ways; in a large picture every sixth."""

LARGE_PX = 1 << 16

SKY = np.int32(-1)
"""Number of a surface that is none."""


@dataclass(frozen=True, eq=False)
class Setting:
    """A scene before an eye: all lamps, the own headlamps last, and how everything reflects. Build by `setting`.

    Parameters
    ----------
    lamps : of the scene, then the own ones.
    own : how many of them are headlamps of the vehicle in which the eye is.
    blockers, ground : what the picture shows; people are among it.
    materials, lines, markings : how it reflects.
    road : that is driven, for its curve; none is straight.
    haze : the air; none is clear.
    store : what single lamps give on the faces of targets; along a way it stays the same but for the own headlamps.
    """

    lamps: Lamps
    own: int
    blockers: Blockers
    ground: GroundPlane
    materials: Materials
    lines: tuple[Line, ...]
    markings: Markings
    road: Road | None
    haze: Haze | None
    store: Contributions = field(default_factory=Contributions)

    @property
    def paint_per_lux(self) -> float:
        """Luminance of markings per lux square to the light of the own headlamps [1/sr]."""
        look = self.markings
        return look.retroreflection_dry if self.materials.film is None else look.retroreflection_wet


@dataclass(frozen=True, eq=False)
class Seen:
    """What an eye sees in one duty state at one light level.

    Parameters
    ----------
    hits : surfaces.
    luminance_cd_m2 : (h, w) float32, lamps among it, without the veil in the eye.
    lamps : what the eye gets of each lamp that is on.
    """

    hits: Hits
    luminance_cd_m2: Singles
    lamps: LampsSeen


@dataclass(frozen=True, eq=False)
class ByLamp:
    """What an eye sees by each lamp at full output; states and levels are weighted sums.

    Parameters
    ----------
    hits : surfaces.
    luminance_cd_m2 : (L, h, w) float32, surfaces and the air beyond a target.
    per_sky_lux : (h, w) float32, the same by natural light, per lux on level ground.
    air_cd_m2, air_per_sky_lux : of the air nearer than that, (L, h, w) and (1, h, w); none in clear air.
    """

    hits: Hits
    luminance_cd_m2: Singles
    per_sky_lux: Singles
    air_cd_m2: Singles | None
    air_per_sky_lux: Singles | None


def setting(placed: PlacedScene, headlamps: Lamps | None = None, *, road: Road | None = None) -> Setting:
    """A placed scene before an eye; the weather is that of the scene.

    Parameters
    ----------
    placed : the scene on its site.
    headlamps : of the vehicle in which the eye is, such as `Headlamps.at(station)`.
    road : that is driven.
    """
    return Setting(
        lamps=placed.lamps if headlamps is None else placed.lamps.joined(headlamps),
        own=0 if headlamps is None else len(headlamps),
        blockers=placed.blockers_with_people,
        ground=GroundPlane.through(normal=placed.ground.normal),
        materials=materials_of(placed),
        lines=lane_lines(placed.scene.site.lanes) if carries_markings(placed.surface.name) else (),
        markings=markings(),
        road=road,
        haze=haze_of(placed.scene.weather),
    )


def luminance(
    scene: Setting, camera: Camera, levels: ArrayLike, ambient_lx: float, *, threads: int | None = None
) -> Seen:
    """What an eye sees: road, markings, bodies, people, sky, air, and lamps as bright openings; initial light.

    Parameters
    ----------
    scene : what stands before the eye.
    camera : a pinhole at the eye.
    levels : (L,) of all lamps, 1 is full output; the own headlamps last.
    ambient_lx : natural light on level ground [lx].
    threads : all processors unless stated. Results do not depend on it.
    """
    shares = np.asarray(levels, np.float64)
    on = np.flatnonzero(shares > 0.0)
    lamps, shares = scene.lamps.only(on), shares[on]
    hits = first_hits(camera, scene.blockers, scene.ground, threads=threads)
    surfaces = _surfaces(scene, hits, threads)
    if scene.materials.film is None and scene.haze is None:
        total = illuminance_image(hits, lamps, levels=shares, threads=threads)
        _shade(total, surfaces, threads)
    else:
        total = _in_turns(scene, hits, surfaces, lamps, shares, threads)
    _add_natural(total, scene, hits, surfaces, ambient_lx, threads)
    _add_sent_back(total, scene, hits, surfaces, lamps, shares, on)
    if scene.haze is not None:
        every = AIR_EVERY[total.size > LARGE_PX]
        total += airlight(camera, hits.distance_m, lamps, scene.haze, levels=shares, every=every, threads=threads)[0]
    seen = through(lamps_seen(lamps, scene.blockers, camera.eye_m, shares), scene.haze)
    add_openings(total, camera, lamps, seen)
    return Seen(hits, total, seen)


def by_lamp(scene: Setting, camera: Camera, *, without: tuple[int, ...] = (), threads: int | None = None) -> ByLamp:
    """What an eye sees of surfaces and air by each lamp at full output, and by a lux of natural light.

    Parameters
    ----------
    scene : what stands before the eye.
    camera : a pinhole at the eye.
    without : surfaces of a target, whose own light is not asked for: nothing but natural light and the air beyond what
        is seen farthest of them is in their luminance. The air nearer than that is kept apart.
    threads : all processors unless stated.

    Every duty state and light level is a weighted sum of these. Lamps themselves are not drawn. For small pictures,
    since each lamp has one of its own.
    """
    hits = first_hits(camera, scene.blockers, scene.ground, threads=threads)
    surfaces = _surfaces(scene, hits, threads)
    lamps, total = scene.lamps, len(scene.lamps)
    skipped = np.isin(hits.surface, without)
    asked = replace(hits, surface=np.where(skipped, SKY, hits.surface))
    lux = np.nan_to_num(illuminance_images(asked, lamps, threads=threads))
    found = _reflected(scene, hits, surfaces, lamps, lux, np.ones(total), True, threads)
    if scene.own:
        sheets = replace(surfaces, planes=np.where(skipped, SKY, surfaces.planes))
        found[total - scene.own :] += _own(scene, hits, sheets, lamps.only(range(total - scene.own, total)))
    beyond = float(np.max(hits.distance_m, where=skipped, initial=0.0))
    natural = np.zeros(hits.surface.shape, np.float32)
    _add_natural(natural, scene, hits, surfaces, 1.0, threads, beyond)
    if scene.haze is None:
        return ByLamp(hits, found, natural, None, None)
    before = np.minimum(hits.distance_m, np.float32(beyond))
    air = partial(airlight, camera, lamps=lamps, haze=scene.haze, every=AIR_EVERY[0], apart=True, threads=threads)
    found += air(hits.distance_m, beyond_m=beyond)
    near = air(before)
    near_sky = np.float32(SKY_PER_LUX) * (1.0 - scene.haze.transmitted(before)).astype(np.float32)
    return ByLamp(hits, found, natural, near, near_sky[None])


def _surfaces(scene: Setting, hits: Hits, threads: int | None) -> Surfaces:
    return surfaces_of(hits, scene.materials, scene.lines, scene.markings, scene.road, threads)


def _shade(lux: Singles, surfaces: Surfaces, threads: int | None) -> None:
    """Makes illuminance luminance, in place; where a lamp is too near for its opening it counts as nothing."""

    def fill(first: int, last: int) -> None:
        part = lux[first:last]
        np.copyto(part, 0.0, where=np.isnan(part))
        part *= surfaces.per_lux[first:last]

    in_blocks(fill, len(lux), lux.size, threads)


def _in_turns(
    scene: Setting, hits: Hits, surfaces: Surfaces, lamps: Lamps, shares: Array, threads: int | None
) -> Singles:
    """Luminance by all lamps, some at a time, since water and air look at each by itself."""
    total = np.zeros(hits.surface.shape, np.float32)
    for first in range(0, len(lamps), AT_ONCE):
        some = np.arange(first, min(first + AT_ONCE, len(lamps)))
        few = lamps.only(some)
        lux = illuminance_images(hits, few, threads=threads)
        total += _reflected(scene, hits, surfaces, few, lux, shares[some], False, threads)[0]
    return total


def _reflected(
    scene: Setting, hits: Hits, surfaces: Surfaces, lamps: Lamps, lux: Singles, shares: Array, apart: bool,
    threads: int | None,
) -> Singles:  # fmt: skip
    extinction = 0.0 if scene.haze is None else scene.haze.extinction_per_m
    return reflected(
        hits, lamps, lux, surfaces.per_lux, levels=shares, film=scene.materials.film, extinction_per_m=extinction,
        apart=apart, threads=threads,
    )  # fmt: skip


def _add_natural(
    total: Singles, scene: Setting, hits: Hits, surfaces: Surfaces, ambient_lx: float, threads: int | None,
    beyond_m: float = 0.0,
) -> None:  # fmt: skip
    """Adds surfaces under the sky and the sky itself; air before them, beyond a distance, is as bright as the sky."""
    if ambient_lx == 0.0:
        return
    ambient, sky, one = np.float32(ambient_lx), np.float32(SKY_PER_LUX * ambient_lx), np.float32(1.0)

    def fill(first: int, last: int) -> None:
        natural = ambient * surfaces.per_sky_lux[first:last]
        if scene.haze is not None:
            distance = hits.distance_m[first:last]
            through = scene.haze.transmitted(distance).astype(np.float32)
            start = scene.haze.transmitted(np.minimum(distance, beyond_m)).astype(np.float32) if beyond_m else one
            natural = through * natural + (start - through) * sky
        total[first:last] += natural

    in_blocks(fill, len(total), total.size, threads)


def _add_sent_back(
    total: Singles, scene: Setting, hits: Hits, surfaces: Surfaces, lamps: Lamps, shares: Array, on: NDArray[np.intp]
) -> None:
    own = np.flatnonzero(on >= len(scene.lamps) - scene.own)
    if not len(own):
        return
    back = _own(scene, hits, surfaces, lamps.only(own))
    for share, one in zip(shares[own], back, strict=True):
        total += np.float32(share) * one


def _own(scene: Setting, hits: Hits, surfaces: Surfaces, own: Lamps) -> Singles:
    return sent_back_over(hits, surfaces.planes, scene.materials, surfaces.paint, scene.paint_per_lux, own, scene.haze)
