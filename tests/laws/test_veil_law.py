"""The veil of one small lamp at a gaze parallel to the road hardly depends on how far away it is."""

from __future__ import annotations

import numpy as np
import pytest

from scenelux.engine import Blockers, illuminance, sight
from tests.analytic_lamps import isotropic, one_lamp

pytestmark = pytest.mark.usefixtures("precision")

NOISE = 0.0  # What the path may lose; the fixture says it.

DEGREES_PER_RADIAN = 57.2958


@pytest.mark.parametrize(("left", "up"), [(0.0, 1.5), (3.35, 1.2), (-5.0, 0.4)])
def test_veil_from_150_to_30_metres(left: float, up: float) -> None:
    """10 E / theta^2 = [10 I / (57.2958 b)^2] cos(theta) (sin(theta) / theta)^2, b from the lamp to the line of sight.

    E lies on the plane square to the line of sight; theta counts in degrees on the left and in radians on the right.
    """
    candela = 1500.0
    eyes = np.array([[-ahead, 0.0, 1.08] for ahead in np.linspace(30, 150, 25)])
    lamp = one_lamp(isotropic(candela), [0.0, left, 1.08 + up])
    gaze = (1.0, 0.0, 0.0)
    on_eye_lx = illuminance(lamp, Blockers.none(), eyes, gaze)[0]
    towards = sight(lamp, Blockers.none(), eyes).direction[0]
    theta = np.arctan2(np.hypot(towards[:, 1], towards[:, 2]), towards[:, 0])
    veil = 10 * on_eye_lx / np.degrees(theta) ** 2
    apart = np.hypot(left, up)
    law = 10 * candela / (np.degrees(1.0) * apart) ** 2 * np.cos(theta) * (np.sin(theta) / theta) ** 2
    assert np.degrees(1.0) == pytest.approx(DEGREES_PER_RADIAN, abs=5e-5)
    assert veil == pytest.approx(law, rel=1e-6 + NOISE)
    # Nearly independent of distance: five times as far, and the veil moves by less than three percent.
    assert veil.max() / veil.min() - 1 < 0.03
    # The constant as printed, to six digits, gives the same within its own rounding.
    printed = 10 * candela / (DEGREES_PER_RADIAN * apart) ** 2 * np.cos(theta) * (np.sin(theta) / theta) ** 2
    assert veil == pytest.approx(printed, rel=2e-6 + NOISE)
