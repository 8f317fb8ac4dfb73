"""Twilight and moonlight against the stated polynomials, written out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from scenelux.vision import moon_phase_factor, twilight_illuminance
from scenelux.vision.tables import vision_table

PIECES = {  # altitude from, to, and the coefficients, written once more
    "sun": [
        (20, 90, 3.74, 3.97, -4.07, 1.47),
        (5, 20, 3.05, 13.28, -45.98, 64.33),
        (-0.8, 5, 2.88, 22.26, -207.64, 1034.30),
        (-5, -0.8, 2.88, 21.81, -258.11, -858.36),
        (-12, -5, 2.70, 12.17, -431.69, -1899.83),
        (-18, -12, 13.84, 262.72, 1447.42, 2797.93),
    ],
    "full moon": [
        (20, 90, -1.95, 4.06, -4.24, 1.56),
        (5, 20, -2.58, 12.58, -42.58, 59.06),
        (-0.8, 5, -2.79, 24.27, -252.95, 1321.29),
    ],
}


def slow_illuminance(body: str, altitude: float) -> float:
    for low, high, c0, c1, c2, c3 in PIECES[body]:  # from the highest down: a knot belongs to the higher piece
        if low <= altitude <= high:
            x = altitude / 90
            return 10 ** (c0 + c1 * x + c2 * x**2 + c3 * x**3)
    return math.nan


@pytest.mark.parametrize("body", PIECES)
def test_every_piece_is_the_printed_polynomial(body: str) -> None:
    altitudes = np.concatenate([np.linspace(-19, 90, 1500), [piece[0] for piece in PIECES[body]], [90.0]])
    ours = twilight_illuminance(altitudes, body)
    assert ours == pytest.approx([slow_illuminance(body, float(h)) for h in altitudes], rel=1e-11, nan_ok=True)


@pytest.mark.parametrize("body", PIECES)
def test_pieces_meet_within_a_percent_and_a_half(body: str) -> None:
    for knot in [piece[0] for piece in PIECES[body]][:-1]:
        above, below = twilight_illuminance([knot, np.nextafter(knot, -90.0)], body)
        assert above / below == pytest.approx(1.0, abs=0.0155), knot


def test_phases_are_the_stated_laws() -> None:
    for phase in (0.0, 30.0, 90.0, 170.0):
        slow = 10 ** (-8.68e-3 * phase - 2.2e-9 * phase**4)
        assert moon_phase_factor(phase, "circular-171") == pytest.approx(slow, rel=1e-13)
        slow = 10 ** (-0.4 * (0.026 * phase + 4e-9 * phase**4))
        assert moon_phase_factor(phase, "magnitude") == pytest.approx(slow, rel=1e-13)


def test_the_table_of_twilight_holds_the_polynomial() -> None:
    """A printed range is to hold it; a single figure within half of its digit."""
    for row in vision_table("natural-light")["twilight"]:
        low, high = row["low_lx"], row["high_lx"]
        half = 0.0 if high > low else 0.5 * 10 ** math.floor(math.log10(low))
        assert low - half <= twilight_illuminance(row["sun_altitude_deg"]) <= high + half, row["say"]


def test_a_high_moon_within_three_days_of_full_gives_a_tenth_of_a_lux() -> None:
    """Published by an astronomer's page; three days are about 36 deg of phase."""
    assert twilight_illuminance(70.0, "full moon") * moon_phase_factor(36.0) > 0.1


def test_dusk_falls_by_ten_every_two_degrees_below_two() -> None:
    dusk = twilight_illuminance([-4.0, -6.0, -8.0, -10.0])
    assert (dusk[:-1] / dusk[1:] > 5).all() and (dusk[:-1] / dusk[1:] < 20).all()
