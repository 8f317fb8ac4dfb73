"""Quantities as people write them are read rightly, and everything else is refused with words that help."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from scenelux.errors import QuantityError
from scenelux.scene.quantities import DIMENSIONS, DimensionName, parse_quantity

FOOT, INCH = 0.3048, 0.0254


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("7 ft 9 1/2 in", 7 * FOOT + 9.5 * INCH),
        ("7'-9 1/2\"", 7 * FOOT + 9.5 * INCH),
        ("7' 9\"", 7 * FOOT + 9 * INCH),
        ("7'9\"", 7 * FOOT + 9 * INCH),
        ("7′ 9″", 7 * FOOT + 9 * INCH),
        ("7 ft 9.5 in", 7 * FOOT + 9.5 * INCH),
        ("7 ft-9 in", 7 * FOOT + 9 * INCH),
        ("7 feet 1/4 inch", 7 * FOOT + 0.25 * INCH),
        ("-7 ft 9 in", -(7 * FOOT + 9 * INCH)),
        ("−38 in", -38 * INCH),
        ("+38in", 38 * INCH),
        ("38''", 38 * INCH),
        ("9-1/2 in", 9.5 * INCH),
        ("1/2 in", 0.5 * INCH),
        ("0 ft 0 in", 0.0),
        ("7.75 ft", 7.75 * FOOT),
        ("2 1/2 ft", 2.5 * FOOT),
        ("2 yd", 1.8288),
        ("2.36 m", 2.36),
        ("  2.36   m ", 2.36),
        ("2360 mm", 2.36),
        ("150 cm", 1.5),
        ("1.2 km", 1200.0),
        (".5 m", 0.5),
        ("5. m", 5.0),
        ("1e-3 m", 0.001),
    ],
)
def test_lengths(text: str, metres: float) -> None:
    for system in ("metric", "us"):
        assert parse_quantity(text, "length", system) == pytest.approx(metres, abs=1e-12)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("35 deg", "angle", 35.0), ("-35 degrees", "angle", -35.0), ("35°", "angle", 35.0),
        ("30 lx", "illuminance", 30.0), ("30 lux", "illuminance", 30.0), ("1 klx", "illuminance", 1000.0),
        ("10 fc", "illuminance", 107.63910416709722), ("3 fc", "illuminance", 32.291731250129166),
        ("0.1 cd/m2", "luminance", 0.1), ("0.1 cd/m²", "luminance", 0.1), ("2 cd/m^2", "luminance", 2.0),
        ("4200 lm", "flux", 4200.0), ("4.2 klm", "flux", 4200.0),
        ("800 cd", "intensity", 800.0), ("1.5 kcd", "intensity", 1500.0),
        ("55 mph", "speed", 24.5872), ("90 km/h", "speed", 25.0), ("25 m/s", "speed", 25.0),
        ("80 %", "ratio", 0.8), ("80%", "ratio", 0.8), ("0.8", "ratio", 0.8), ("-2 %", "ratio", -0.02),
        ("38 W", "power", 38.0), ("1 kW", "power", 1000.0),
        ("500 ms", "time", 0.5), ("3 min", "time", 180.0), ("2 h", "time", 7200.0),
    ],
)  # fmt: skip
def test_other_kinds(text: str, dimension: DimensionName, value: float) -> None:
    assert parse_quantity(text, dimension) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("dimension", "metric", "us"),
    [
        ("length", 1.0, 0.3048), ("illuminance", 1.0, 10.763910416709722), ("speed", 1 / 3.6, 0.44704),
        ("angle", 1.0, 1.0), ("luminance", 1.0, 1.0), ("flux", 1.0, 1.0), ("ratio", 1.0, 1.0), ("number", 1.0, 1.0),
        ("power", 1.0, 1.0), ("time", 1.0, 1.0), ("intensity", 1.0, 1.0),
    ],
)  # fmt: skip
def test_bare_numbers_follow_the_document(dimension: DimensionName, metric: float, us: float) -> None:
    assert parse_quantity(1, dimension, "metric") == pytest.approx(metric)
    assert parse_quantity(1.0, dimension, "us") == pytest.approx(us)


@pytest.mark.parametrize(
    ("value", "dimension", "piece"),
    [
        ("2,1 m", "length", 'decimal comma; write a decimal point, such as "2.1 m"'),
        ("4,200 lm", "flux", 'mark thousands or decimals; write "4200 lm"'),
        ("1,2,3 m", "length", "has a comma"),
        ("7 ft 14 in", "length", "12 inches or more"),
        ("7 ft 12 in", "length", "12 inches or more"),
        ("7 ft 11 2/2 in", "length", "12 inches or more"),
        ("7.5 ft 3 in", "length", "feet that are not whole"),
        ("7 ft 9", "length", "inches without their unit"),
        ("7'9", "length", "inches without their unit"),
        ("7 ft -9 in", "length", "where a unit is expected"),
        ("9 in 7 ft", "length", "where a unit is expected"),
        ("nan", "length", "not a finite number"),
        ("-NaN m", "length", "not a finite number"),
        ("inf", "length", "not a finite number"),
        ("-infinity m", "length", "not a finite number"),
        (math.nan, "length", "not a finite number"),
        (-math.inf, "angle", "not a finite number"),
        ("1e400 m", "length", "too large"),
        ("9" * 50 + "e999 m", "length", "too large"),
        ("9" * 400 + " ft 3 in", "length", "is not a length"),
        (10**400, "length", "too large"),
        (True, "ratio", "is not a ratio"),
        (None, "length", "is not a length"),
        ([1], "length", "is not a length"),
        ("", "length", "is not a length"),
        ("m", "length", "is not a length"),
        ("--5 m", "length", "is not a length"),
        ("5 5 m", "length", "where a unit is expected"),
        ("1_000 m", "length", "where a unit is expected"),
        ("0x10 m", "length", "where a unit is expected"),
        ("１２ m", "length", "is not a length"),
        ("1/0 in", "length", "is not a length"),
        ("1/2 m", "length", "only feet, inches and yards"),
        ("5 m2", "length", '"m2" where a unit is expected'),
        ("5 M", "length", '"M" where a unit is expected'),
        ("3 furlongs", "length", '"furlongs" where a unit is expected'),
        ("2.4", "length", "has no unit"),
        ("55 mph", "length", "is a speed, not a length"),
        ("38 in", "angle", "is a length, not an angle"),
        ("10 fc", "luminance", "is an illuminance, not a luminance"),
        ("5 kn", "speed", '"kn" where a unit is expected'),
        ("35 deg down", "angle", 'such as "-35 deg"'),
        ("0.6 rad", "angle", '"rad" where a unit is expected'),
        ("25", "number", "has no unit"),
        ("80 % ", "length", "is a ratio, not a length"),
        ("x" * 10_000, "length", "is not a length"),
        ("1" * 10_000 + " m", "length", "is not a length"),
    ],
)
def test_refusals_name_what_would_be_accepted(value: object, dimension: DimensionName, piece: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(value, dimension)
    text = str(caught.value)
    assert piece in text
    assert text.endswith(".") and "\n" not in text and len(text) < 250
    assert caught.value.accepted


@given(
    feet=st.integers(0, 200), sixteenths=st.integers(0, 12 * 16 - 1), negative=st.booleans(),
    form=st.sampled_from(["{f} ft {i} in", "{f}' {i}\"", "{f}'-{i}\"", "{f} feet {i} inches", "{f}′ {i}″"]),
)  # fmt: skip
def test_feet_and_inches_round_trip(feet: int, sixteenths: int, negative: bool, form: str) -> None:
    whole, over = divmod(sixteenths, 16)
    inches = f"{whole} {over}/16" if over else f"{whole}"
    text = ("-" if negative else "") + form.format(f=feet, i=inches)
    metres = (feet * 12 + sixteenths / 16) * INCH
    assert parse_quantity(text, "length") == pytest.approx(-metres if negative else metres, abs=1e-12)


@given(value=st.floats(-1e6, 1e6), dimension=st.sampled_from(sorted(DIMENSIONS)), data=st.data())
@example(value=-0.0, dimension="length", data=None)
def test_every_unit_round_trips(value: float, dimension: DimensionName, data: st.DataObject | None) -> None:
    units = sorted(DIMENSIONS[dimension].units)
    assume(units)
    unit = data.draw(st.sampled_from(units)) if data else units[0]
    read = parse_quantity(f"{value!r} {unit}", dimension)
    assert read == pytest.approx(value * DIMENSIONS[dimension].units[unit], rel=1e-15, abs=0.0)


@given(st.text(max_size=40))
def test_any_text_is_read_or_refused(text: str) -> None:
    for dimension in ("length", "angle", "ratio"):
        try:
            assert math.isfinite(parse_quantity(text, dimension))  # type: ignore[arg-type]
        except QuantityError as error:
            assert str(error)


@given(st.text(alphabet="0123456789 /.-'\"ftine", max_size=12))
def test_texts_that_look_like_lengths(text: str) -> None:
    try:
        assert math.isfinite(parse_quantity(text, "length"))
    except QuantityError as error:
        assert error.accepted


def test_no_unit_means_two_things() -> None:
    """Each unit belongs to one kind, so that a wrong kind can be named."""
    seen = [unit for kind in DIMENSIONS.values() for unit in kind.units]
    assert len(seen) == len(set(seen))


def test_bare_units_are_units_of_their_kind() -> None:
    for kind in DIMENSIONS.values():
        for unit in kind.bare:
            assert not unit or unit in kind.units
        if kind.si:
            assert kind.units[kind.si] == 1.0
