"""Studies with little in them, or with much that is not valid, are still written whole."""

from __future__ import annotations

import io
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from scenelux.reports import print_study, write_comparison, write_study
from scenelux.study.results import StudyResult, VariantResult
from tests.unit.pictures.example import study_example

RESULT = study_example(only="tilted", spacing_m=0.5)
VARIANT = RESULT.variants[0]


def nothing_but_a_map() -> VariantResult:
    return replace(VARIANT, areas=(), eyes=(), windows=(), verdicts=())


def no_lamp_at_all() -> VariantResult:
    empty = replace(
        VARIANT.map,
        lamp_ids=(),
        by_lamp_lx=np.zeros((0, 60, 36)),
        levels={key: np.zeros(0) for key in VARIANT.map.levels},
    )
    return replace(nothing_but_a_map(), lamps=(), map=empty)


def all_points_covered() -> VariantResult:
    area = VARIANT.areas[0]
    nan = float("nan")
    entries = tuple(
        replace(
            entry,
            illuminance_lx=np.full(49, nan),
            maintained=replace(
                entry.maintained,
                minimum=nan,
                average=nan,
                maximum=nan,
                uniformity=nan,
                worst_point_m=(nan,) * 3,
                valid_points=0,
            ),
            lamps_off=(),
        )
        for entry in area.entries
    )
    covered = replace(VARIANT.map, by_lamp_lx=np.full_like(VARIANT.map.by_lamp_lx, nan))
    return replace(VARIANT, areas=(replace(area, entries=entries),), map=covered, eyes=())


def eyes_without_a_valid_station_and_a_fixed_one() -> VariantResult:
    eye = VARIANT.eyes[0]
    entries = tuple(
        replace(
            entry,
            veil_cd_m2={form: np.full(27, np.nan) for form in entry.veil_cd_m2},
            valid_stations=0,
            worst_station=None,
            top_lamp=None,
            veil_limit_cd_m2=None,
            seconds_above=None,
            dose_lx_s=None,
        )
        for entry in eye.entries
    )
    one = {
        "eye_illuminance_lx": np.ones(1),
        "glare_angle_deg": np.ones(1),
        "threshold_increment_percent": np.ones(1),
        "discomfort_rating": np.ones(1),
        "veil_cd_m2": {"CIE general": np.ones(1)},
        "worst_station": 0,
        "valid_stations": 1,
        "veil_by_lamp_cd_m2": np.ones((4, 1)),
    }
    fixed = replace(
        eye,
        eye_id="fixed",
        kind="fixed",
        direction="",
        lane="",
        speed_m_s=None,
        distances_m=np.full(1, np.nan),
        points_m=np.zeros((1, 3)),
        entries=tuple(replace(entry, **one) for entry in eye.entries[:1]),
    )
    return replace(VARIANT, eyes=(replace(eye, entries=entries), fixed))


@pytest.mark.parametrize(
    "make", [nothing_but_a_map, no_lamp_at_all, all_points_covered, eyes_without_a_valid_station_and_a_fixed_one]
)
@pytest.mark.filterwarnings("error")
def test_odd_studies_are_written_and_printed(make: object, tmp_path: Path) -> None:
    result: StudyResult = replace(RESULT, variants=(make(),))  # type: ignore[operator]
    names = {path.name for path in write_study(result, tmp_path / "out")}
    assert {"summary.json", "report.html", "report.pdf"} <= names
    stream = io.StringIO()
    print_study(result, Console(file=stream, width=100))
    assert "Caution:" in stream.getvalue()


def test_variants_on_different_ground_have_no_ratio_map(tmp_path: Path) -> None:
    other = study_example(spacing_m=1.0).variants[1]
    result = replace(RESULT, variants=(VARIANT, other))
    names = {path.name for path in write_comparison(result, tmp_path / "out")}
    assert "pair-tilted-flat-working-night.png" in names
