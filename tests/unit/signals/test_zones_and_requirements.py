"""Directions around a truck, and the published requirements as data."""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.signals import (
    COVERAGE_AZIMUTHS_DEG,
    COVERAGE_ELEVATIONS_DEG,
    WarningRequirement,
    azimuth_of_heading,
    coverage_directions,
    from_pattern,
    kept,
    measured,
    on_time_kept,
    on_time_rules,
    required_spans,
    warning_requirements,
    zone_index,
    zone_of_direction,
)
from scenelux.timing import parse_pattern

BY_ID = {row.id: row for row in warning_requirements()}


def test_zones_go_clockwise_and_each_limit_belongs_to_one() -> None:
    azimuths = np.arange(-720.0, 720.0, 0.5)
    for azimuth, found in zip(azimuths, zone_index(azimuths), strict=True):
        assert zone_of_direction(azimuth) == "ABCD"[int(found)] == "ABCD"[math.floor(((azimuth + 45) % 360) / 90)]
    assert np.bincount(zone_index(np.arange(360))).tolist() == [90, 90, 90, 90]
    assert zone_of_direction(-45 - 1e-14) in "AD"  # the rounding of a degree never leaves the zones
    with pytest.raises(UsageError):
        zone_of_direction(math.nan)


def test_headings_and_azimuths_meet_in_the_directions() -> None:
    heading = np.radians(np.arange(0, 360, 5.0))
    level = coverage_directions(azimuth_of_heading(np.degrees(heading)), [0.0])[0]
    assert level == pytest.approx(np.column_stack((np.cos(heading), np.sin(heading), 0 * heading)), abs=1e-12)
    every = coverage_directions()
    assert np.linalg.norm(every, axis=-1) == pytest.approx(np.ones((9, 72)))
    assert np.degrees(np.arcsin(every[:, 0, 2])) == pytest.approx(COVERAGE_ELEVATIONS_DEG)


def test_the_grid_holds_the_angles_of_requirements_on_vehicles() -> None:
    """Those of Title 13 above 8 deg, of obstacle lights and of follow-me vehicles lie beyond it by choice."""
    beyond = ("title13", "obstacle", "liol")
    for row in warning_requirements():
        if not row.id.startswith(beyond):
            assert set(row.elevations_deg) <= set(COVERAGE_ELEVATIONS_DEG.tolist()), row.id
        assert {azimuth % 360 for azimuth in row.azimuths_deg} <= set(COVERAGE_AZIMUTHS_DEG.tolist()), row.id


def test_every_requirement_is_whole() -> None:
    assert len(BY_ID) == len(warning_requirements()) >= 90
    for row in warning_requirements():
        assert row.source.title and row.document and row.kind and row.light in ("day", "night", "any"), row.id
        assert row.at_least > 0 or row.at_most > 0, row.id
        assert row.unit == ("cd s/min" if row.quantity == "optical power" else "cd"), row.id
        assert not row.at_least > row.at_most, row.id


def test_quantities_are_told_apart() -> None:
    documents = {(row.document, row.quantity) for row in warning_requirements()}
    assert ("UN R65", "effective intensity") in documents and ("UN R65", "mean intensity") not in documents
    assert ("French order of 4 July 1972", "mean intensity") in documents
    assert ("California Title 13 s.817", "on-state intensity") in documents
    assert ("SAE J845", "optical power") in documents


def cells() -> dict[tuple[str, tuple[float, ...], tuple[float, ...]], dict[str, WarningRequirement]]:
    """Title 13: rows of the table of one class, by colour."""
    found: dict[tuple[str, tuple[float, ...], tuple[float, ...]], dict[str, WarningRequirement]] = defaultdict(dict)
    for row in warning_requirements():
        if row.id.startswith("title13"):
            found[row.kind, row.elevations_deg, row.azimuths_deg][row.colour] = row
    return found


def test_ratios_of_title_13_hold_but_for_the_rounding_of_single_candelas() -> None:
    rows = [row for (kind, _, _), row in cells().items() if kind in ("class B", "class C")]
    assert len(rows) == 16 and sum(map(len, cells().values())) == 62
    for row in rows:
        assert row["yellow"].at_least == pytest.approx(2.5 * row["red"].at_least, abs=3)
        if "blue" in row:  # missing in one row of the copy
            assert row["blue"].at_least == pytest.approx(0.5 * row["red"].at_least, abs=1)


def test_title_13_rows_as_printed() -> None:
    assert BY_ID["title13_c_yellow_5u_v"].at_least == 750 and BY_ID["title13_a_red_0u_10"].at_least == 300
    assert BY_ID["title13_a_red_0u_10"].azimuths_deg == (-10.0,)
    assert "title13_c_red_0u_10" not in BY_ID  # not in the copy


def test_verdicts_keep_status_and_quantity() -> None:
    r65, french = BY_ID["r65_t_amber_0_day"], BY_ID["french_rotating_0"]
    assert kept(r65, 10_000.0) == "not assessed"
    assert (kept(french, 40.0), kept(french, 19.9), kept(french, 20.0, 401.0)) == ("meets", "misses", "misses")
    assert kept(french, math.nan) == "not assessed"


def test_on_times() -> None:
    rules = {rule.id: rule for rule in on_time_rules()}
    for percent, rotating, filament in ((60, "meets", "meets"), (61, "misses", "meets"), (81, "misses", "misses")):
        found = measured(from_pattern(parse_pattern(f"2 per second: on {percent} %, off"), 400.0), group_gap_s=0.05)
        times = found.flash_rate_hz, found.longest_lit_s, found.longest_dark_s
        assert on_time_kept(rules["french_rotating_on"], *times) == rotating
        assert on_time_kept(rules["french_filament_on"], *times) == filament
        assert on_time_kept(rules["r65_on"], *times) == "not assessed"
    assert on_time_kept(rules["french_rotating_on"], math.nan, 0.1, 0.1) == "not assessed"
    with pytest.raises(UsageError):
        on_time_kept(rules["r65_on"], 1.0, -0.1, 0.1)


def test_spans() -> None:
    spans = {span.id: span for span in required_spans()}
    assert spans["kkk_span"].elevations_deg == (-5.0, 5.0) and spans["kkk_span"].source.status == "published"
    assert {span.distance_m for span in spans.values() if span.distance_m > 0} == {20.0, 25.0}
