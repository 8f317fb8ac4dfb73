"""Luminance by lamp: matt, through air, and mirrored by a film of water, against literal formulas."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine import (
    Blockers,
    Camera,
    GroundPlane,
    Hits,
    first_hits,
    hit_points,
    illuminance_images,
)
from scenelux.engine.image.reflect import Film, reflected
from tests.analytic_lamps import isotropic, point_lamps

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

FILM = Film(1.333, 0.1)
LAMPS = point_lamps([isotropic(1000.0), isotropic(300.0)], [[30.0, 1.0, 3.0], [18.0, -3.0, 0.8]], [np.eye(3)] * 2)
EYE = np.array([0.0, 0.0, 1.2])


def on_the_road(width: int = 80, height: int = 60) -> tuple[Hits, Singles]:
    camera = Camera.towards(EYE, (8.0, 0.0, 0.0), width, height, field_deg=16)
    hits = first_hits(camera, Blockers.none(), GroundPlane.through())
    return hits, illuminance_images(hits, LAMPS)


def literal(point: Floats, lamp_m: Floats, film: Film) -> float:
    """Luminance per lux of the mirror lobe at a point of the road."""
    towards_lamp, towards_eye = lamp_m - point, EYE - point
    return lobe(towards_lamp / np.linalg.norm(towards_lamp), towards_eye / np.linalg.norm(towards_eye), film)


def lobe(i: Floats, o: Floats, film: Film) -> float:
    """The same for unit vectors to lamp and eye, with the two polarisations of Fresnel."""
    h = (i + o) / np.linalg.norm(i + o)
    tangent = np.tan(np.arccos(h[2]))
    facets = np.exp(-((tangent / film.roughness) ** 2)) / (np.pi * film.roughness**2 * h[2] ** 4)
    first = np.arccos(np.clip(i @ h, 0.0, 1.0))
    second = np.arcsin(np.sin(first) / film.refractive_index)
    across = (np.sin(first - second) / np.sin(first + second)) ** 2
    along = (np.tan(first - second) / np.tan(first + second)) ** 2
    free = 1.0 / (1.0 + sum(_hidden(np.arccos(one[2]), film.roughness) for one in (i, o)))
    return float(0.5 * (across + along) * facets * free / (4.0 * i[2] * o[2]))


def _hidden(angle: float, roughness: float) -> float:
    a = 1.0 / (roughness * np.tan(angle))
    return (1 - 1.259 * a + 0.396 * a**2) / (3.535 * a + 2.181 * a**2) if a < 1.6 else 0.0


def test_matt_light_is_illuminance_times_luminance_per_lux() -> None:
    hits, lux = on_the_road()
    per_lux = np.full(hits.surface.shape, 0.07, np.float32)
    apart = reflected(hits, LAMPS, lux, per_lux, apart=True)
    assert apart == pytest.approx(0.07 * lux, rel=1e-6)
    assert reflected(hits, LAMPS, lux, per_lux, levels=[2.0, 0.5])[0] == pytest.approx(
        2 * apart[0] + apart[1] / 2, rel=1e-6
    )


def test_air_takes_its_share_on_both_ways() -> None:
    hits, lux = on_the_road()
    per_lux = np.full(hits.surface.shape, 0.07, np.float32)
    points, _ = hit_points(hits)
    foggy = reflected(hits, LAMPS, lux, per_lux, extinction_per_m=0.02, apart=True)
    for lamp, place in enumerate(LAMPS.position_m):
        way = np.linalg.norm(points - place, axis=1) + np.linalg.norm(points - EYE, axis=1)
        expected = 0.07 * lux[lamp].ravel() * np.exp(-0.02 * way)
        assert foggy[lamp].ravel() == pytest.approx(expected, rel=1e-4)


def test_film_of_water_mirrors_as_the_literal_formula() -> None:
    hits, lux = on_the_road()
    dark = np.zeros(hits.surface.shape, np.float32)
    wet = reflected(hits, LAMPS, lux, dark, film=FILM, apart=True)
    points, _ = hit_points(hits)
    for lamp, place in enumerate(LAMPS.position_m):
        for pixel in range(0, points.shape[0], 611):
            expected = literal(points[pixel], place, FILM) * lux[lamp].ravel()[pixel]
            assert wet[lamp].ravel()[pixel] == pytest.approx(expected, rel=1e-3, abs=1e-9)


def test_brightest_where_a_mirror_would_show_the_lamp() -> None:
    """For a nearly flat film the streak shrinks to the image of the lamp below the ground."""
    camera = Camera.towards(EYE, (12.0, 0.0, 0.0), 240, 180, field_deg=24)
    hits = first_hits(camera, Blockers.none(), GroundPlane.through())
    lux = illuminance_images(hits, LAMPS)
    film = Film(1.333, 0.004)
    wet = reflected(hits, LAMPS, lux, np.zeros(hits.surface.shape, np.float32), film=film, apart=True)
    for lamp, place in enumerate(LAMPS.position_m):
        column, row, _ = hits.camera.pixels_of([place * [1, 1, -1]])
        at = np.unravel_index(int(wet[lamp].argmax()), wet[lamp].shape)
        assert at == pytest.approx((row[0], column[0]), abs=2)


def test_film_gives_back_no_more_light_than_it_gets() -> None:
    """Over all directions to which light from one direction goes, the share that is mirrored; flat light most."""
    generator = np.random.default_rng(3)
    up, turn = generator.uniform(0.0, 1.0, 4000), generator.uniform(0.0, 2 * np.pi, 4000)
    out = np.c_[np.sqrt(1 - up**2) * np.cos(turn), np.sqrt(1 - up**2) * np.sin(turn), up]
    shares = []
    for angle in np.radians([10.0, 50.0, 70.0, 85.0]):
        lamp = np.array([np.sin(angle), 0.0, np.cos(angle)])
        shares.append(2 * np.pi * np.mean([lobe(lamp, one, Film(1.333, 0.4)) * one[2] for one in out]))
    assert np.diff(shares).min() > 0.0
    assert 0.01 < shares[0] < 0.04, "two percent where light falls nearly straight down"
    assert shares[-1] < 0.7


def test_results_do_not_depend_on_threads() -> None:
    hits, lux = on_the_road()
    per_lux = np.full(hits.surface.shape, 0.02, np.float32)
    one, three = (reflected(hits, LAMPS, lux, per_lux, film=FILM, threads=threads).tobytes() for threads in (1, 3))
    assert one == three
