"""Test points and angles in every notation that laboratories use."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.photometry.hv.columns import Unit, column_of, is_degrees, unit_of
from scenelux.photometry.hv.notation import angle_of, number_of, point_name, point_of

ANGLES = st.floats(-90, 90).map(lambda angle: round(angle, 6) + 0.0)


@pytest.mark.parametrize(
    ("text", "h", "v"),
    [
        ("10U-5L", -5, 10),
        ("5D-20R", 20, -5),
        ("H-V", 0, 0),
        ("HV", 0, 0),
        ("V-H", 0, 0),
        ("H-5L", -5, 0),
        ("5U-V", 0, 5),
        ("V-5U", 0, 5),
        ("10U 5L", -5, 10),
        ("5L-10U", -5, 10),
        ("10u-5l", -5, 10),
        ("  10 U  -  5 L ", -5, 10),
        ("10U5L", -5, 10),
        ("5U/10R", 10, 5),
        ("10U,5L", -5, 10),
        ("10U – 5L", -5, 10),
        ("U10-L5", -5, 10),
        ("10° U 5° L", -5, 10),
        ("10°U-5°L", -5, 10),
        ("5 up 10 left", -10, 5),
        ("5 Deg U, 10 deg R", 10, 5),
        ("0.57U-3.43R", 3.43, 0.57),
        (".5U-1.R", 1, 0.5),
        ("0U-0L", 0, 0),
        ("0-5L", -5, 0),
        ("5D-0", 0, -5),
        ("0-0", 0, 0),
        ("90U-V", 0, 90),
    ],
)
def test_a_point_reads_as_its_angles(text: str, h: float, v: float) -> None:
    assert point_of(text) == (h, v)


@pytest.mark.parametrize(
    "text",
    ["", "10U", "10U-5U", "5L-5R", "V-V", "HH", "10X-5L", "B50L", "U55L", "5U--3", "5U-3", "-5U-3L", "5U-10L-3",
     "nan U-5L", "1e1U-5L", "0,5U-3L", "5U" + "0" * 99 + "-3L", "75R;", "Zone I"],
)  # fmt: skip
def test_what_is_no_point_is_none(text: str) -> None:
    assert point_of(text) is None


def test_decimal_commas_where_they_are_allowed() -> None:
    assert point_of("0,57U-3,43R", comma=True) == (3.43, 0.57)
    assert number_of("1,5", comma=True) == 1.5 and number_of("1,5") is None
    assert number_of("1.234,5", comma=True) is None and number_of("1,234,5", comma=True) is None


@given(ANGLES, ANGLES)
def test_the_name_of_a_point_reads_back(h: float, v: float) -> None:
    assert point_of(point_name(h, v)) == (h, v)


@pytest.mark.parametrize(
    ("text", "axis", "angle"),
    [("20L", "H", -20), ("20R", "H", 20), ("V", "H", 0), ("0", "H", 0), ("-20", "H", -20), ("+2.5", "H", 2.5),
     ("10U", "V", 10), ("10D", "V", -10), ("H", "V", 0), ("L 20", "H", -20), ("−5", "V", -5), ("5°D", "V", -5)],
)  # fmt: skip
def test_an_angle_of_its_axis(text: str, axis: str, angle: float) -> None:
    assert angle_of(text, axis) == angle


@pytest.mark.parametrize(
    ("text", "axis"),
    [("5U", "H"), ("H", "H"), ("V", "V"), ("5L", "V"), ("", "H"), ("x", "V"), ("nan", "H"), ("1_0", "H"), ("5LR", "H")],
)
def test_an_angle_of_another_axis_is_none(text: str, axis: str) -> None:
    assert angle_of(text, axis) is None


@pytest.mark.parametrize(
    "text", ["nan", "inf", "-Infinity", "0x10", "1_000", "1 000", "", "1e", "--1", "1d3", "٣", "1." * 50]
)
def test_what_is_no_number_is_none(text: str) -> None:
    assert number_of(text) is None


@pytest.mark.parametrize(
    ("text", "number"), [("12", 12), ("12.5", 12.5), (".5", 0.5), ("5.", 5), ("1e3", 1000), ("-2E-1", -0.2), ("−3", -3)]
)
def test_numbers(text: str, number: float) -> None:
    assert number_of(text) == number


@pytest.mark.parametrize(
    ("text", "unit"),
    [("cd", Unit("cd")), ("Candela", Unit("cd")), ("kcd", Unit("kcd")), ("lx at 25 m", Unit("lx", 25)),
     ("lux @ 3.16 m", Unit("lx", 3.16)), ("lx 10m", Unit("lx", 10)), ("lx", Unit("lx")), ("mcd", None),
     ("lx at 0 m", None), ("lx at 25 ft", None), ("fc", None), ("", None)],
)  # fmt: skip
def test_units(text: str, unit: Unit | None) -> None:
    assert unit_of(text) == unit


def test_what_turns_values_into_candela() -> None:
    assert Unit("cd").factors == ()
    assert Unit("kcd").factors == (("candela in a kilocandela", 1000.0),)
    assert Unit("lx", 25).factors == (("square of the distance of 25 m", 625.0),)


@pytest.mark.parametrize(
    ("name", "role"),
    [("H", "H"), ("H_deg", "H"), ("horizontal", "H"), ("Horizontal angle [deg]", "H"), ("left/right", "H"),
     ("Left / Right", "H"), ("H (°)", "H"), ("V", "V"), ("v_deg", "V"), ("up/down", "V"), ("Elevation", "V"),
     ("point", "point"), ("Test point", "point"), ("H-V", "point"), ("HV", "point"), ("cd", "value"),
     ("Intensity [cd]", "value"), ("luminous intensity (kcd)", "value"), ("I_cd", "value"), ("measured", "value"),
     ("Required minimum [cd]", "value"), ("E [lx at 25 m]", "value"), ("illuminance lx at 25 m", "value"),
     ("[cd]", "value"), ("maximum [cd]", "other"), ("remark", "other"), ("point name", "other"), ("", "other"),
     ("left +", "other"), ("margin %", "other"), ("[deg]", "other")],
)  # fmt: skip
def test_columns_by_their_names(name: str, role: str) -> None:
    assert column_of(name).role == role


@pytest.mark.parametrize(
    ("name", "basis"),
    [("measured [cd]", "measured"), ("Actual", "measured"), ("min", "required minimum"),
     ("required intensity", "required minimum"), ("cd", None), ("intensity", None)],
)  # fmt: skip
def test_the_basis_by_the_name_of_a_column(name: str, basis: str | None) -> None:
    assert column_of(name).basis == basis


@pytest.mark.parametrize("unit", ["", "deg", "right +", "left -, right +", "down -, up +", "deg, right positive"])
def test_degrees_to_the_right_and_up(unit: str) -> None:
    assert is_degrees(unit)


@pytest.mark.parametrize(
    "unit", ["rad", "left +", "left", "left +, right -", "+ down", "up -, down +", "left positive"]
)
def test_other_angles_are_refused(unit: str) -> None:
    assert not is_degrees(unit)
