"""Where headings and intensities stand on a dial, and how a vehicle lies on it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from scenelux.pictures.signal.dial import INNER, Dial, dial_scale
from scenelux.pictures.signal.dial_marks import _runs
from scenelux.pictures.signal.vehicle import drawing
from tests.unit.pictures.signal.flashing import FOOT, signal_study

DIAL = Dial(5.0, 4.0, 2.0, 1.0, 1000.0)


@pytest.mark.parametrize(("heading", "place"), [(0, (5, 6)), (90, (3, 4)), (180, (5, 2)), (270, (7, 4))])
def test_the_front_is_up_and_headings_run_counter_clockwise(heading: float, place: tuple[float, float]) -> None:
    assert DIAL.at(heading, 2.0).tolist() == pytest.approx(place)


def test_equal_ratios_take_equal_room_and_what_is_too_small_stands_on_the_inner_circle() -> None:
    reach = DIAL.reach(np.array([0.0, 1.0, 10.0, 100.0, 1000.0, 5000.0]))
    inner = 2.0 * INNER
    step = (2.0 - inner) / 3.0
    assert reach.tolist() == pytest.approx([inner, inner, inner + step, inner + 2 * step, 2.0, 2.0])


def test_one_scale_holds_every_peak_and_every_limit_of_a_study() -> None:
    study = signal_study()
    low, high = dial_scale(study)
    assert (low, high) == (1.0, 1000.0)
    assert all(one.peak_cd.max() <= high for case in study.variants[0].cases for one in case.measures
               if one.group == "flashing")  # fmt: skip
    assert all(low < row.limit < high for row in study.variants[0].verdicts)
    loud = replace(study.variants[0].verdicts[0], limit=20_000.0)
    assert dial_scale(replace(study, variants=(replace(study.variants[0], verdicts=(loud,)),)))[1] == 1e5


@pytest.mark.parametrize(
    ("headings", "runs"),
    [
        (list(range(0, 360, 5)), [(0.0, 360.0)]),
        ([0.0, 5.0, 10.0, 90.0, 350.0, 355.0], [(88.0, 92.0), (350.0, 370.0)]),
        ([45.0], [(43.0, 47.0)]),
        ([], []),
    ],
)
def test_neighbouring_directions_are_joined(headings: list[float], runs: list[tuple[float, float]]) -> None:
    assert _runs([float(one) for one in headings]) == runs


def test_the_vehicle_lies_as_it_is_seen_whatever_its_heading() -> None:
    variant = signal_study().variants[0]
    above = drawing(variant, "above, front up")
    assert above.limits == pytest.approx((-4 * FOOT, -12.5 * FOOT, 4 * FOOT, 12.5 * FOOT), abs=0.02)
    left = above.lamps_m[[row.lamp_id for row in variant.lamps].index("side-left")]
    assert left[0] < 0.0
    behind, front = drawing(variant, "behind"), drawing(variant, "front")
    assert behind.lamps_m[0, 0] < 0.0 < front.lamps_m[0, 0]  # the left rear lamp
    assert behind.lamps_m[0, 1] == pytest.approx(2.6)
    turned = replace(variant, heading_deg=90.0)
    assert drawing(turned, "above, front up").limits == pytest.approx(
        (-12.5 * FOOT, -4 * FOOT, 12.5 * FOOT, 4 * FOOT), abs=0.02
    )


def test_what_is_nearer_is_drawn_later() -> None:
    variant = signal_study().variants[0]
    heights = [outline[:, 1].max() for outline in drawing(variant, "front").outlines]
    assert math.isclose(heights[-1], 8 * FOOT)
    assert math.isclose([outline[:, 1].max() for outline in drawing(variant, "behind").outlines][-1], 2.5 * FOOT)
