"""Faults of angles and axes and files of other kinds by their number, and that every number has a test somewhere."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from scenelux.errors import PhotometricError
from scenelux.photometry import (
    candela_in_vehicle_convention,
    default_orientation,
    flux_lm,
    parse_orientation,
    polar_table,
    read_lm63,
)

Write = Callable[..., bytes]

FOLDER = Path(__file__).resolve().parents[1]
LAST = 61


def test_every_number_of_the_list_has_a_test() -> None:
    """An identifier begins with the number: of a row of a table of cases, of a parameter, or of a function."""
    found: set[int] = set()
    for path in FOLDER.rglob("test_*.py"):
        text = path.read_text(encoding="utf-8")
        for pattern in (r"def test_(\d+)_", r'\(\s*"(\d+) [^"]*",\s*\{', r'\bid="(\d+) '):
            found |= {int(number) for number in re.findall(pattern, text)}
    assert sorted(set(range(1, LAST + 1)) - found) == []


@pytest.mark.parametrize("first", ["IESNA:LM-63-1995", "IESNA:LM-63-2002", "IES:LM-63-2019"])
def test_36_planes_from_90_to_270(lm63: Write, first: str) -> None:
    file = read_lm63(lm63(first=first, h="90 180 270", candela="1 1 0\n2 2 0\n3 3 0"))
    warned = [(one.code, one.line) for one in file.warnings if one.code == 36]
    assert warned == ([] if "1995" in first else [(36, 10)])
    lamp = file.distribution
    assert lamp.candela_at([90, 180, 270, 0, 45, 315], 0).tolist() == [1, 2, 3, 2, 1.5, 2.5]


def test_37_unequal_steps_are_mirrored_by_angle(lm63: Write) -> None:
    file = read_lm63(lm63(h="0 10 100 180", candela="1 1 0\n2 2 0\n3 3 0\n4 4 0"))
    assert file.distribution.horizontal_deg.tolist() == [0, 10, 100, 180, 260, 350, 360]
    assert file.distribution.candela[:, 0].tolist() == [1, 2, 3, 4, 3, 2, 1]


def test_42_the_first_plane_rules_where_planes_meet(lm63: Write) -> None:
    file = read_lm63(lm63(h="0 90 180", candela="9 5 0\n8 5 0\n9 5 0"))
    assert [(one.code, one.line) for one in file.warnings] == [(42, 11)]
    assert float(file.distribution.intensity((0, 0, -1))) == 9


def test_44_two_angles_are_integrated_exactly(lm63: Write) -> None:
    """I falls linearly from 100 cd at 0 to 0 at 90 deg: 2 pi 100 (1 - 2 / pi) lm; the trapezoid of I sin V gives 0."""
    file = read_lm63(lm63(v="0 90", candela="100 0"))
    assert flux_lm(file.distribution) == pytest.approx(200 * np.pi * (1 - 2 / np.pi), rel=1e-12)


def test_55_the_ending_of_the_name_says_nothing(lm63: Write) -> None:
    for name in ("LAMP.IES", "lamp.Ies", "lamp", "lamp.xml"):
        assert read_lm63(lm63(), name).warnings == ()


def test_60_the_planes_turn_with_the_lamp(lm63: Write) -> None:
    """A lamp that shines to C 0: to the right as usually mounted, up when its top is C 0."""
    v, h = "0 45 90", "0 90 180 270 360"
    lamp = read_lm63(lm63(v=v, h=h, candela="0 80 0\n0 0 0\n0 0 0\n0 0 0\n0 80 0")).distribution
    usual, turned = default_orientation("C"), parse_orientation("C", "gamma 0", "C 0")
    right_up_left_down = (0, 90, 180, 270)
    assert candela_in_vehicle_convention(lamp, usual, right_up_left_down, 45).round(9).tolist() == [80, 0, 0, 0]
    assert candela_in_vehicle_convention(lamp, turned, right_up_left_down, 45).round(9).tolist() == [0, 80, 0, 0]
    half = np.sqrt(0.5)
    assert float(polar_table(lamp, turned).intensity((half, 0, half))) == pytest.approx(80)


def test_47_the_same_numbers_as_b_and_c_are_two_lamps(lm63: Write) -> None:
    shape = {"v": "0 45 90", "h": "0 45 90", "candela": "0 0 0\n0 70 0\n0 0 0"}
    as_b, as_c = (read_lm63(lm63(kind=kind, **shape)).distribution for kind in ("2", "1"))
    assert (as_b.photometric_type, as_c.photometric_type) == ("B", "C")
    assert float(as_b.intensity((0.5, -half_root(), -0.5))) == pytest.approx(70)
    assert float(as_c.intensity((0.5, -0.5, -half_root()))) == pytest.approx(70)


def half_root() -> float:
    return float(np.sqrt(0.5))


EULUMDAT = "\r\n".join(["Maker", "1", "1", "24", "15", "19", "5", *["text"] * 30])


@pytest.mark.parametrize(
    ("data", "guess"),
    [
        (b"", "empty"),
        (b" \r\n\0", "empty"),
        (b"  <?xml version='1.0'?><IESTM33/>", "XML"),
        (b"\x7fELF\0\0\1 TILT=NONE", "binary"),
        (b"%PDF-1.7 TILT=NONE", "binary"),
        (EULUMDAT.encode(), "EULUMDAT"),
    ],
)
def test_59_other_kinds_of_file_are_named(data: bytes, guess: str) -> None:
    with pytest.raises(PhotometricError, match=guess) as caught:
        read_lm63(data)
    assert caught.value.code == 59


def test_warnings_carry_their_line(lm63: Write) -> None:
    file = read_lm63(lm63(v="0 20 50", rest="END"))
    assert {one.code: one.line for one in file.warnings} == {39: 9, 26: 12}
    assert {str(one)[-4:] for one in file.warnings} == {"[39]", "[26]"}


def test_fifteen_is_found_in_any_row(lm63: Write) -> None:
    file = read_lm63(lm63(h="0 90 180", candela="9 5 0\n9 5\n0 9 5 0"))
    assert [(one.code, one.line) for one in file.warnings] == [(15, 13)]
    assert np.array_equal(file.distribution.candela[0], [9, 5, 0])
