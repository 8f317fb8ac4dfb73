"""Inputs of quantities: every one is documented, checked and read in one way."""

from __future__ import annotations

import math
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import pytest

from scenelux.errors import UsageError
from scenelux.prove import QUANTITIES, signature_of
from scenelux.prove.quantities.glare import Form
from scenelux.prove.signature import called
from scenelux.vision import FURTHER_VEIL_FORMS, VEIL_FORMS

HERE = Path()


@pytest.mark.parametrize("name", QUANTITIES)
def test_every_quantity_is_documented(name: str) -> None:
    signature = signature_of(QUANTITIES[name])
    assert signature.name == name and signature.says.endswith(".") and signature.results
    for one in signature.inputs:
        assert one.says and one.accepts, one.name
    if not signature.is_table:
        assert (len(signature.results) == 1 and " " in f"{signature.results[0]} [") or signature.results[
            0
        ].isidentifier()


def test_forms_of_the_veil_are_those_of_vision() -> None:
    from typing import get_args

    assert set(get_args(Form)) == {form.name for form in (*VEIL_FORMS, *FURTHER_VEIL_FORMS)}


def call(name: str, **inputs: object) -> object:
    return called(QUANTITIES[name], inputs, HERE)


def test_words_may_be_written_with_an_underscore() -> None:
    for form in ("cie-general", "cie_general", "CIE general"):
        assert call("veiling_luminance", form=form, angle_deg=1) == pytest.approx(15.18053)


def test_a_list_in_place_of_a_number_gives_a_list() -> None:
    assert call("grid_spacing", longer_side_m=[1, 10]) == pytest.approx([0.2, 1.0])
    found = call("mesopic_luminance", photopic_cd_m2=[1, 10], sp_ratio=[1, 2])
    assert found["luminance_cd_m2"] == pytest.approx([1.0, 10.0])  # type: ignore[index]


def test_a_list_of_sources_gives_one_answer() -> None:
    both = call("veiling_luminance", angle_deg=[2, 5], eye_illuminance_lx=[1, 3], form="stiles-holladay")
    assert both == pytest.approx(2.5 + 3 * 0.4)
    assert call("veiling_luminance", angle_deg=[2, 5], form="stiles-holladay") == pytest.approx(2.9)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, None])
def test_what_is_not_finite_gives_nan(value: float | None) -> None:
    assert math.isnan(call("grid_spacing", longer_side_m=value))  # type: ignore[arg-type]
    assert math.isnan(call("de_boer", eye_illuminance_lx=[1, value], angle_deg=3, adaptation_luminance_cd_m2=1))  # type: ignore[arg-type]


def test_clear_air_is_an_infinite_visibility() -> None:
    assert call("air_transmittance", distance_m=1e6, visibility_m=math.inf) == 1.0
    assert call("air_transmittance", distance_m=1e6) == 1.0
    assert math.isnan(call("air_transmittance", distance_m=math.inf, visibility_m=10))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "inputs", "key"),
    [
        ("grid_spacing", {"longer_side_m": "10"}, "longer_side_m"),
        ("grid_spacing", {"longer_side_m": True}, "longer_side_m"),
        ("grid_spacing", {"longer_side_m": []}, "longer_side_m"),
        ("grid_spacing", {"longer_side_m": [[1]]}, "longer_side_m"),
        ("grid_spacing", {"longer_side_m": 10**400}, "longer_side_m"),
        ("grid_spacing", {"side": 1}, "side"),
        ("grid_points", {"along_m": [1, 2], "left_m": [1, 2, 3]}, "left_m"),
        ("photometric_direction", {"type": "D", "horizontal_deg": 0, "vertical_deg": 0}, "type"),
        ("photometric_direction", {"type": 1, "horizontal_deg": 0, "vertical_deg": 0}, "type"),
        ("illuminance_at_point", {"point_m": [0, 0], "lamp_position_m": [0, 0, 1], "flux_lm": 1}, "point_m"),
        ("illuminance_at_point", {"point_m": [0, 0, 0], "lamp_position_m": [0, 0, 1]}, None),
        ("illuminance_at_point", {"point_m": [0, 0, 0], "lamp_position_m": [0, 0, 1], "flux_lm": 1, "plane": "tilted"},
         "facing"),
        ("threshold_luminance_difference", {"adaptation_luminance_cd_m2": 1}, None),
        ("threshold_luminance_difference",
         {"adaptation_luminance_cd_m2": 1, "size_arcmin": 7, "negative": 1}, "negative"),
        ("luminous_flux", {"file": 3}, "file"),
        ("luminous_flux", {"table_cd": [[1, 2], [3]], "table_vertical_deg": [0, 90]}, "table_cd"),
        ("luminous_flux", {"table_cd": [[1, 2]], "table_vertical_deg": [90, 0]}, "table_vertical_deg"),
        ("luminous_flux", {"flux_lm": 100, "form": "flat-top", "across_deg": 20, "up_deg": 20}, "edge_deg"),
        ("panel_illuminance", {"shape": "disk", "distance_m": 1}, "shape"),
        ("retroreflection_coefficient", {"material": "glass", "observation_deg": 0.2, "entrance_deg": 5}, None),
    ],
)  # fmt: skip
def test_faults_name_their_input(name: str, inputs: dict[str, object], key: str | None) -> None:
    with pytest.raises(UsageError) as caught:
        call(name, **inputs)
    assert caught.value.key == key


@pytest.mark.parametrize(
    ("name", "inputs"),
    [
        ("grid_spacing", {"longer_side_m": 0}),
        ("beam_exponent_and_peak", {"beam_angle_deg": 0.5}),
        ("luminous_flux", {"flux_lm": -1}),
        ("luminous_flux", {"flux_lm": 100, "beam_angle_deg": 151}),
        ("luminous_flux", {"peak_cd": 100, "exponent": -1}),
        ("illuminance_at_point", {"point_m": [0, 0, 0], "lamp_position_m": [0, 0, 0], "intensity_cd": 1}),
        ("panel_illuminance", {"shape": "disk", "diameter_m": -1, "luminance_cd_m2": 1, "distance_m": 1}),
        ("panel_illuminance", {"shape": "strip", "length_m": 1, "intensity_cd_per_m": 1, "distance_m": 0}),
        ("dose", {"distances_m": [0, 1], "eye_illuminance_lx": [1, 1], "speed_m_s": 0}),
        ("photometric_angles", {"to_type": "B", "direction_xyz": [0, 0, 0]}),
        ("scotopic_photopic_ratio", {"planckian_k": -1}),
        ("retroreflected_luminance", {"intensity_cd": 1, "distance_m": 1e-200, "coefficient_cd_lx_m2": 1}),
        ("eye_illuminance", {"intensity_cd": 1, "lamp_from_eye_m": [0, 0, 0]}),
    ],
)  # fmt: skip
def test_outside_its_range_a_quantity_is_nan(name: str, inputs: dict[str, object]) -> None:
    found = call(name, **inputs)
    assert math.isnan(next(iter(found.values())) if isinstance(found, dict) else found)  # type: ignore[arg-type]


def test_panels_turn_with_their_point() -> None:
    """Whichever side the point lies on and whichever way it faces, mirrored the same."""
    panel = {"shape": "rectangle", "length_m": 2, "width_m": 1, "luminance_cd_m2": 100, "distance_m": 1}
    one = call("panel_illuminance", **panel, offset_m=[0.7, 0.2], facing=[-0.3, -0.1, 1])
    other = call("panel_illuminance", **panel, offset_m=[-0.7, -0.2], facing=[0.3, 0.1, 1])
    turned = call(
        "panel_illuminance", **{**panel, "length_m": 1, "width_m": 2}, offset_m=[0.2, 0.7], facing=[-0.1, -0.3, 1]
    )
    away = call("panel_illuminance", **panel, offset_m=[0.7, 0.2], facing=[0.3, 0.1, 1])
    assert one == pytest.approx(other, rel=1e-9) and one == pytest.approx(turned, rel=5e-3)
    assert away < one  # type: ignore[operator]


PLACE = {"latitude_deg": 50.0, "longitude_deg": 10.0}


@pytest.mark.parametrize(
    "utc",
    ["2026-06-21T21:30:00Z", "2026-06-21 21:30", "2026-06-21T23:30+02:00", datetime(2026, 6, 21, 21, 30),
     datetime(2026, 6, 21, 14, 30, tzinfo=timezone(timedelta(hours=-7)))],
)  # fmt: skip
def test_one_instant_however_it_is_written(utc: object) -> None:
    one, same = call("sun_position", utc=utc, **PLACE), call("sun_position", utc="20260621T213000", **PLACE)
    assert one == pytest.approx(same, abs=0.0, nan_ok=True)
    both = call("sun_position", utc=[utc, utc], **PLACE)
    assert both["altitude_deg"] == [one["altitude_deg"]] * 2  # type: ignore[index]


@pytest.mark.parametrize(
    "utc", ["yesterday", "", 20260621, date(2026, 6, 21), True, [], ["2026-06-21", 3], "0001-01-01T00:00+20:00"]
)
def test_what_is_no_instant_is_told(utc: object) -> None:
    with pytest.raises(UsageError, match=r"is not a date and time"):
        call("sun_position", utc=utc, **PLACE)


@pytest.mark.parametrize("key", ["region", "system"])
def test_what_is_no_region_is_told(key: str) -> None:
    with pytest.raises(UsageError, match=f"{key} .j578_orange. is not a") as found:
        call("chromaticity_region", x=0.5, y=0.4, **{key: "j578_orange"})
    assert "j578" in (found.value.accepted or "")


def test_too_many_numbers_are_told() -> None:
    with pytest.raises(UsageError, match=r"has 10001 values"):
        call("grid_spacing", longer_side_m=[1.0] * 10_001)


def test_two_speeds_are_not_one_of_them() -> None:
    with pytest.raises(UsageError, match="has two speeds; give speed_km_h or speed_mph"):
        call("stopping_sight_distance", speed_mph=55, speed_km_h=90)
