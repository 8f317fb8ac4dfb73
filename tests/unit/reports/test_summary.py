"""summary.json: the agreed fields, units in names, null with a reason."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from scenelux.errors import UsageError
from scenelux.reports import comparison_document, summary_document
from scenelux.reports.documents import json_text
from tests.unit.pictures.example import study_example

RESULT = study_example(spacing_m=0.5)
DOCUMENT = summary_document(RESULT)


def nulls_without_reason(value: Any, path: str = "", covered: bool = False) -> list[str]:
    """Paths of nulls with no reason in any document around them."""
    if value is None:
        return [] if covered else [path]
    if isinstance(value, dict):
        inside = covered or "reason" in value
        return [miss for key, item in value.items() for miss in nulls_without_reason(item, f"{path}.{key}", inside)]
    if isinstance(value, list):
        return [miss for i, item in enumerate(value) for miss in nulls_without_reason(item, f"{path}[{i}]", covered)]
    return []


def test_agreed_fields() -> None:
    assert set(DOCUMENT) >= {"variants", "luminaires", "inputs", "counts", "cautions"}
    variant = DOCUMENT["variants"][0]
    assert set(variant) >= {"areas", "eyes", "windows", "verdicts"}
    assert set(variant["areas"][0]["maintained"]) >= {"min_lx", "average_lx", "max_lx", "uniformity"}
    assert set(variant["areas"][0]) >= {"maintained", "initial", "share_meeting", "lamps_off", "state", "light"}
    assert set(variant["eyes"][0]) >= {"gaze", "form", "age_years", "pigmentation", "stations", "worst", "notes"}
    fields = "rule clause edition source_status statistic plane area state light limit value unit margin worst_point_m"
    assert set(variant["verdicts"][0]) >= {*fields.split(), "verdict", "because"}
    stations = variant["eyes"][0]["stations"]
    assert len(stations["distance_m"]) == len(stations["veiling_luminance_by_form_cd_m2"]["CIE general"]) == 27


def test_numbers_are_the_results_own() -> None:
    area = RESULT.variants[0].areas[0].entries[1]
    found = next(
        one for one in DOCUMENT["variants"][0]["areas"] if (one["state"], one["light"]) == ("working", "night")
    )
    assert found["maintained"]["average_lx"] == pytest.approx(area.maintained.average, rel=1e-5)
    assert found["initial"]["average_lx"] == pytest.approx(area.initial.average, rel=1e-5)


def test_counts_add_up_and_the_line_is_honest() -> None:
    rows = [row for variant in RESULT.variants for row in variant.verdicts]
    assert sum(DOCUMENT["counts"].values()) == len(rows)
    assert "every" not in DOCUMENT["verdict_line"]


def test_nan_is_null_with_a_reason() -> None:
    text = json_text(DOCUMENT)
    assert "NaN" not in text and "Infinity" not in text
    gaze = next(one for one in DOCUMENT["variants"][0]["eyes"] if one["gaze"] == "vehicle")
    assert gaze["stations"]["veiling_luminance_by_form_cd_m2"]["CIE general"][-1] is None
    assert "within 0.1 deg" in gaze["stations"]["reason"]
    assert nulls_without_reason(DOCUMENT) == []
    assert json.loads(text) == json.loads(json_text(summary_document(RESULT)))


def test_an_area_without_valid_points_and_a_verdict_without_bound() -> None:
    variant = RESULT.variants[0]
    area = variant.areas[0]
    nothing = replace(
        area.entries[0].maintained,
        minimum=math.nan,
        average=math.nan,
        maximum=math.nan,
        uniformity=math.nan,
        worst_point_m=(math.nan,) * 3,
        valid_points=0,
    )
    entry = replace(area.entries[0], maintained=nothing, illuminance_lx=np.full(49, np.nan))
    row = replace(variant.verdicts[0], value=math.inf, margin=-math.inf, because="Dark points have no ratio.")
    changed = replace(variant, areas=(replace(area, entries=(entry,)),), verdicts=(row,))
    document = summary_document(replace(RESULT, variants=(changed,)))
    found = document["variants"][0]
    assert found["areas"][0]["maintained"]["min_lx"] is None
    assert found["areas"][0]["maintained"]["reason"] == "no point of the area is valid"
    assert found["verdicts"][0]["value"] is None and found["verdicts"][0]["reason"] == "Dark points have no ratio."
    assert nulls_without_reason(document) == []


def test_a_comparison_needs_two_known_variants() -> None:
    assert comparison_document(RESULT)["first"] == "tilted"
    with pytest.raises(UsageError, match="give one of tilted, flat"):
        comparison_document(RESULT, "flat", "steep")
    with pytest.raises(UsageError, match="needs two"):
        comparison_document(study_example(only="flat", spacing_m=0.5))
    assert nulls_without_reason(comparison_document(RESULT)) == []
