"""What a study tells of areas and their rules: where they lie, which lamps count, and lamps that are off."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from scenelux.engine import Contributions
from scenelux.placement import area_points, place
from scenelux.scene.read import read_scene
from scenelux.study.areas import LeastLight, light_area, statistics
from scenelux.study.levels import light_of, weighted
from scenelux.study.places import area_place
from scenelux.study.results import VariantResult
from scenelux.study.simulate import simulate
from scenelux.study.verdicts import asked_of, rules_of

CARD = (Path(__file__).resolve().parents[2] / "data" / "check-case" / "bare-flood.toml").read_text()

SCENE = """
format = "scenelux scene 1"
title = "One truck"
data = "invented"
units = "metric"
areas = [{areas}]
criteria = [{criteria}]
[circuits]
work = "Work lamp"
road = "Low beam"
[[vehicles]]
id = "truck"
position = [{along}, 0]
heading = {heading}
bodies = [
  {{ id = "box", forward = [0, 6], left = [-1, 1], up = [0.5, 2.2] }},
  {{ id = "bumper", forward = [-0.3, 0], left = [-1, 1], up = [0.4, 0.5] }},
  {{ id = "boom", forward = [-5, 6], left = [-0.2, 0.2], up = [4, 4.3] }},
]
[[vehicles.lamps]]
id = "tail"
luminaire = "bare-flood"
position = [-0.4, 0, 2.3]
heading = 180
tilt = -35
circuit = "work"
light_loss_factor = 0.8
[[vehicles.lamps]]
id = "low"
luminaire = "bare-head"
position = [-0.4, 0.5, 2.3]
heading = 180
tilt = -35
circuit = "road"
light_loss_factor = 0.9
[states.working]
say = "w"
circuits = {{ work = 1, road = 1 }}
[states.resting]
say = "r"
circuits = {{ work = 1 }}
[light.night]
say = "n"
ambient = 0
adaptation_luminance = 0.1
"""

REAR = '{ id = "rear", of = "truck", forward = [-3.5, -0.3], left = [-1.6, 1.6], plane = "horizontal" }'
HIGH = (
    '{ id = "high", of = "truck", forward = [-3.5, -0.5], left = [-1.5, 1.5], height = "3 ft", plane = "horizontal", '
    "grid = { counts = [6, 6] } }"
)
STEP = '{ id = "step", of = "truck", on = "bumper", plane = "horizontal", grid = { counts = [2, 8] } }'


def read(tmp_path: Path, areas: str, criteria: str = "", along: float = 0.0, heading: float = 0.0):
    (tmp_path / "bare-flood.toml").write_text(CARD)
    head = CARD.replace('kind = "flood"', 'kind = "headlamp"')
    assert head != CARD
    (tmp_path / "bare-head.toml").write_text(head)
    file = tmp_path / "scene.toml"
    file.write_text(SCENE.format(areas=areas, criteria=criteria, along=along, heading=heading))
    return read_scene(str(file))


def found(tmp_path: Path, areas: str, criteria: str = "", **pose: float) -> VariantResult:
    return simulate(read(tmp_path, areas, criteria, **pose)).variants[0]


def test_an_area_of_a_vehicle_is_told_from_its_rear_face_whatever_its_pose(tmp_path: Path) -> None:
    for along, heading in ((0.0, 0.0), (30.0, 205.0)):
        placed = place(read(tmp_path, REAR, along=along, heading=heading))
        told = area_place(placed, area_points(placed.vehicles, placed.ground, placed.scene.areas[0]))
        assert (told.on, told.vehicle) == ("", "truck")
        assert (told.gap_m, told.offset_m) == pytest.approx((0.0, 0.0), abs=1e-9)  # bumper, not the boom above


def test_an_area_of_the_site_is_told_from_the_first_vehicle_when_that_stands_along_the_site(tmp_path: Path) -> None:
    area = '{ id = "a", forward = [5, 9], left = [1, 3], plane = "horizontal" }'
    for heading, gap, offset in ((0.0, 0.7, 2.0), (90.0, None, None)):
        placed = place(read(tmp_path, area, along=10.0, heading=heading))
        told = area_place(placed, area_points(placed.vehicles, placed.ground, placed.scene.areas[0]))
        assert told.gap_m == (None if gap is None else pytest.approx(gap))
        assert told.offset_m == offset


def test_the_square_behind_the_truck_is_judged_and_one_beside_it_is_not(tmp_path: Path) -> None:
    beside = '{ id = "beside", of = "truck", forward = [0, 4], left = [2, 6], plane = "horizontal" }'
    rules = '{ rule = "nfpa_rear_average", area = "rear" }, { rule = "nfpa_rear_average", area = "beside" }'
    rows = found(tmp_path, f"{REAR}, {beside}", rules).verdicts
    assert {row.verdict for row in rows if row.subject == "rear"} <= {"meets", "misses"}
    assert {row.because for row in rows if row.subject == "beside"} == {
        "Not assessed: the rule asks for an area directly behind the vehicle; "
        "this area begins 4.3 m ahead of the rear face of truck."
    }


def test_an_area_on_a_body_says_so_and_is_not_the_ground(tmp_path: Path) -> None:
    variant = found(tmp_path, f"{REAR}, {STEP}", '{ rule = "nfpa_step", area = "step" }')
    assert [area.on for area in variant.areas] == ["", "bumper"]
    assert variant.verdicts[0].because == "Not assessed: this area lies on the body bumper, not on the ground."


def test_michigan_counts_no_headlamps(tmp_path: Path) -> None:
    variant = found(tmp_path, HIGH, '{ rule = "mdot_pass", area = "high" }, { rule = "osha_access", area = "high" }')
    tail, low = variant.areas[0].by_lamp_lx
    rows = {(row.rule, row.state): row for row in variant.verdicts}
    lux = rows["mdot_pass", "working"].value / 0.3048**2
    assert lux == pytest.approx((0.8 * tail).min())
    assert "without low, which the rule does not count" in rows["mdot_pass", "working"].because
    assert "does not count" not in rows["mdot_pass", "resting"].because
    assert rows["osha_access", "working"].value / 0.3048**2 > lux
    limit = 5.0 / 0.3048**2
    entry = next(one for one in variant.areas[0].entries if one.state == "working")
    assert entry.share_meeting["mdot_pass"] == pytest.approx((0.8 * tail >= limit).mean())
    assert low.max() > 0.0


def test_a_rule_without_a_figure_has_no_share(tmp_path: Path) -> None:
    variant = found(tmp_path, REAR, '{ rule = "flagger", area = "rear" }, { rule = "osha_access", area = "rear" }')
    assert set(variant.areas[0].entries[0].share_meeting) == {"osha_access"}


def test_the_share_counts_only_lamps_that_count(tmp_path: Path) -> None:
    document = read(tmp_path, HIGH, '{ rule = "mdot_pass", area = "high" }')
    placed = place(document)
    asked = asked_of(placed, rules_of(document), "high")["mdot_pass"]
    assert asked.counts.tolist() == [True, False] and asked.limit_lx == pytest.approx(5.0 / 0.3048**2)
    grid = area_points(placed.vehicles, placed.ground, document.areas[0])
    none = {"none": LeastLight(1e-9, np.array([False, False]))}
    result = light_area(placed, grid, {("working", "night"): np.ones(2)}, none, Contributions())
    assert result.entries[0].share_meeting == {"none": 0.0}


def test_of_points_alike_the_first_is_the_worst() -> None:
    points = np.array([[1.0, 0, 0], [2.0, 0, 0], [3.0, 0, 0], [4.0, 0, 0]])
    found = statistics(np.array([np.nan, 1.0 + 9e-6, 1.0, 1.0 + 2e-5]), points)
    assert (found.minimum, found.worst_point_m) == (1.0, (2.0, 0, 0))
    assert statistics(np.array([np.nan, 1.0 + 2e-5, 1.0, 5.0]), points).worst_point_m == (3.0, 0, 0)
    assert statistics(np.array([np.nan, 1.0, 0.0, 0.0]), points).worst_point_m == (3.0, 0, 0)


def test_a_lamp_that_is_off_counts_for_nothing_even_without_a_valid_value() -> None:
    by_lamp = np.array([[np.nan, 2.0, np.nan], [3.0, 4.0, np.nan]])
    assert light_of(np.array([0.0, 0.5]), by_lamp).tolist() == pytest.approx([1.5, 2.0, np.nan], nan_ok=True)
    assert np.isnan(light_of(np.array([1.0, 0.5]), by_lamp)).tolist() == [True, False, True]
    assert weighted(np.array([0.0, 0.5]), by_lamp[:, :2]).tolist() == [[0.0, 0.0], [1.5, 2.0]]


def test_the_map_of_a_state_ignores_lamps_that_are_off(tmp_path: Path) -> None:
    site = found(tmp_path, REAR).map
    broken = site.by_lamp_lx.copy()
    free = np.argwhere(np.isfinite(broken[0]))[0]
    broken[1, free[0], free[1]] = np.nan
    changed = type(site)(site.along_m, site.left_m, site.lamp_ids, broken, site.levels)
    assert np.isfinite(changed.illuminance_lx("resting", "night")[tuple(free)])
    assert np.isnan(changed.illuminance_lx("working", "night")[tuple(free)])
