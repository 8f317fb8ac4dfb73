"""Veil over a picture beside the literal sum over sources and pixels, and against one calculation of an eye."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from scenelux.engine.image.camera import Camera
from scenelux.engine.image.scatter import LEAST_DEG, ScatterTable, scattered
from scenelux.errors import UsageError
from scenelux.geometry import aim_axes
from scenelux.vision import veil_per_lux, veiling_luminance

Floats = NDArray[np.float64]

AGE, PIGMENTATION = 25, 0.5


def spread_function(angle_deg: Floats) -> Floats:
    return veil_per_lux("cie-1999-psf", angle_deg, age_years=AGE, pigmentation=PIGMENTATION)


def literal(camera: Camera, ways: Floats, lux: Floats) -> Floats:
    """Pixel by pixel and source by source, angles by atan2 in double precision."""
    looks, out = camera.directions(), np.zeros((camera.height_px, camera.width_px))
    for way, light in zip(ways / np.linalg.norm(ways, axis=1)[:, None], lux, strict=True):
        angle = np.degrees(np.arctan2(np.linalg.norm(np.cross(looks, way), axis=2), looks @ way))
        ahead = np.where(angle < 90.0, angle, 1.0)
        out += np.where(angle < 90.0, light * np.cos(np.radians(ahead)) * spread_function(ahead), 0.0)
    return out


def test_the_sum_over_all_sources_agrees_with_the_literal_one() -> None:
    generator = np.random.default_rng(4)
    for case in range(5):
        axes = np.array(aim_axes(*generator.uniform(-80, 80, 3)))
        camera = Camera.pinhole((1.0, 2.0, 1.2), axes, 97, 61, field_deg=(2.0, 20.0, 60.0, 120.0, 165.0)[case])
        ways, lux = generator.normal(size=(20, 3)) + 1.5 * axes[0], generator.uniform(0.0, 30.0, 20)
        lux[::5] = 0.0
        found, wanted = scattered(camera, ways, lux, ScatterTable.of(spread_function)), literal(camera, ways, lux)
        assert np.isfinite(found).all() and np.isfinite(wanted).all() and wanted.max() > 0.0
        np.testing.assert_allclose(found, wanted, rtol=5e-4)


def test_the_pixel_that_looks_along_the_line_of_sight_has_the_veil_of_the_eye() -> None:
    """The same number as the glare of a study: illuminance square to the line of sight, general form."""
    camera = Camera.pinhole((0, 0, 0), np.eye(3), 41, 41, field_deg=10)
    angle, lux = 3.0, 2.5
    way = [np.cos(np.radians(angle)), np.sin(np.radians(angle)), 0.0]
    table = ScatterTable.of(
        lambda a: veil_per_lux("cie-general", a, age_years=AGE, pigmentation=PIGMENTATION), least_deg=0.1
    )
    found = scattered(camera, [way], [lux], table)[20, 20]
    eye = lux * np.cos(np.radians(angle))
    wanted = veiling_luminance("cie-general", eye, angle, age_years=AGE, pigmentation=PIGMENTATION)
    assert found == pytest.approx(float(wanted), rel=3e-4)


def test_threads_change_no_byte_and_dark_sources_cost_nothing() -> None:
    camera = Camera.pinhole((0, 0, 0), np.eye(3), 300, 200, field_deg=50)
    ways, lux = np.random.default_rng(2).normal((3, 0, 0), 1.0, (8, 3)), np.r_[np.ones(7), 0.0]
    table = ScatterTable.of(spread_function)
    one = scattered(camera, ways, lux, table, threads=1)
    assert scattered(camera, ways, lux, table, threads=3).tobytes() == one.tobytes()
    assert scattered(camera, ways[:7], lux[:7], table).tobytes() == one.tobytes()
    assert not scattered(camera, np.empty((0, 3)), [], table).any()


def test_right_at_a_source_the_least_angle_counts() -> None:
    camera = Camera.pinhole((0, 0, 0), np.eye(3), 1, 1, field_deg=1)
    for least in (LEAST_DEG, 0.05):
        found = scattered(camera, [[1, 0, 0]], [1.0], ScatterTable.of(spread_function, least_deg=least))[0, 0]
        assert found == pytest.approx(float(spread_function(np.array(least))), rel=1e-3)


def test_what_cannot_be_used() -> None:
    table = ScatterTable.of(spread_function)
    side = Camera.side_view((0, 0, 0), np.eye(3), 4, 4, field_m=4.0)
    eye = Camera.pinhole((0, 0, 0), np.eye(3), 4, 4, field_deg=40)
    with pytest.raises(UsageError, match="has no eye"):
        scattered(side, [[1, 0, 0]], [1.0], table)
    for bad in ([1.0, 2.0], [-1.0], [np.nan]):
        with pytest.raises(UsageError, match="illuminance_lx"):
            scattered(eye, [[1, 0, 0]], bad, table)
    with pytest.raises(UsageError, match="least angle"):
        ScatterTable.of(lambda a: np.where(a < 0.1, np.nan, 1.0))
