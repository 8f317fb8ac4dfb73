"""Limits that every format shares: what is larger is refused in a sentence, so that what one reads all can write."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
import pytest
from eulumdat_by_line import eulumdat
from usable import usable

from scenelux.errors import LimitError, PhotometricError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry import (
    IntensityDistribution,
    Opening,
    Target,
    convert,
    read_eulumdat,
    read_lm63,
    read_photometric,
)
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.file import PhotometricFile
from scenelux.photometry.hv.points import filled
from scenelux.photometry.limits import written
from scenelux.photometry.tm33.read import read_tm33
from tests.unit.photometry.tm33.documents import document

Lm63 = Callable[..., bytes]


def refused(read: Callable[[], object]) -> PhotometricError:
    with pytest.raises(PhotometricError) as caught:
        read()
    return caught.value


def test_numbers_of_the_head(lm63: Lm63) -> None:
    error = refused(lambda: read_lm63(lm63(multiplier="2e12")))
    assert (error.code, error.key, error.value) == (22, "multiplier", "2e12") and "at most 1e+12" in str(error)
    assert refused(lambda: read_tm33(document(watts="<InputWattage>2e12</InputWattage>").encode())).code == 22
    assert refused(lambda: read_eulumdat(eulumdat(sets=(("1", "LED", "2e12", "", "", "24"),)))).code == 22


def test_numbers_of_many_characters(lm63: Lm63) -> None:
    long = "0." + "0" * 400 + "1"
    for read in (
        lambda: read_lm63(lm63(multiplier=long)),
        lambda: read_tm33(document(watts=f"<InputWattage>{long}</InputWattage>").encode()),
    ):
        error = refused(read)
        assert error.code == 22 and "has more than 400 characters" in str(error)
    assert read_tm33(document(watts=f"<InputWattage>{long[:400]}</InputWattage>").encode()).input_watts == 0.0


def test_lamps_in_one_luminaire(lm63: Lm63) -> None:
    assert refused(lambda: read_lm63(lm63(lamps="1000001", lumens="1"))).code == 22
    error = refused(lambda: read_eulumdat(eulumdat(sets=(("1000001", "LED", "1000", "", "", "24"),))))
    assert (error.code, error.line) == (22, 27)
    for quantity in ("1000001", "-1"):
        error = refused(lambda: read_tm33(document(quantity=f"<Quantity>{quantity}</Quantity>").encode()))  # noqa: B023
        assert error.code == 137 and f"Quantity {quantity} is no number of emitters" in str(error)


def test_sizes_of_the_opening(lm63: Lm63) -> None:
    assert refused(lambda: read_lm63(lm63(sizes="2e6 1 0"))).code == 105
    assert read_lm63(lm63(sizes="100 1 0")).opening.width_m == 100
    error = refused(lambda: read_eulumdat(eulumdat(opening_mm=(2e9, 1, 0, 0, 0, 0))))
    assert (error.code, error.line) == (105, 16)


def test_lines_before_the_tilt_line(lm63: Lm63) -> None:
    error = refused(lambda: read_lm63(lm63(keywords="\n".join(["[OTHER] x"] * 5_001))))
    assert error.code == 57 and "more than 5000 lines before TILT=" in str(error)


def test_several_sets_of_intensities_in_one_emitter() -> None:
    twice = document(data=None).replace("</LuminousIntensity>", "</LuminousIntensity><LuminousIntensity/>")
    assert 56 in {one.code for one in read_tm33(twice.encode()).warnings}


def test_holes_among_points_on_one_line() -> None:
    with pytest.raises(PhotometricError) as caught:
        filled(np.array((0.0, 1.0)), np.array((0.0, 1.0)), np.array(((1.0, np.nan), (np.nan, 2.0))), FaultLog(""))
    assert caught.value.code == 158


def test_messages_stay_on_one_line_and_obey_no_terminal() -> None:
    log = FaultLog("")
    log.warn(1, "it says \x1b[31mred\nand\tmore")
    error = log.error(1, "is\nodd", key="a\rb", value="\x1b[2J\nx")
    assert log.warnings[0].sentence == "it says ?[31mred and more"
    assert (error.problem, error.key, error.value) == ("is odd", "a b", "?[2J x")


TEXTS = ("TILT=NONE", "<b>", "IESNA91", "IES:LM-63-2019", " tilt = x", "# basis: measured", "type: B", "x" * 300)
KEYS = ("MANUFAC", "TEST", "LUMINAIRE", "LAMP", "OTHER", "", "BASIS", "TYPE: B", "_UNIT:", "_LAMPSET2", "_RATEDLUMENS")


@pytest.mark.parametrize("key", KEYS)
@pytest.mark.parametrize("text", TEXTS)
def test_texts_that_look_like_another_format(key: str, text: str) -> None:
    """Whatever a keyword says, each format that is written is known again as itself."""
    light = IntensityDistribution("A", [-30, 0, 30], [-20, 0, 20], [[1, 2, 1], [2, 9, 2], [1, 2, 1]])
    file = PhotometricFile("LM-63", "2002", light, Opening(), ((key, text),), "none", (), 1, None, 5.0, ())
    for target in ("LM-63-2002", "EULUMDAT", "TM-33", "H-V table"):
        again = read_photometric(convert(file, target).data)
        assert again.format == target.removesuffix("-2002")
        usable(convert(file, target).data)


@pytest.mark.parametrize(
    ("fields", "written"),
    [("1 | LED | 500 | w | 80 | 10", 2), ("1.5 | LED | 500 | w | 80 | 10", 1), ("1 | LED | 1e3 | w | 80 | 10", 1)],
)
def test_only_lamp_sets_that_can_be_read_are_written(fields: str, written: int) -> None:
    light = IntensityDistribution("C", [0, 360], [0, 90], [[9, 0]] * 2)
    file = PhotometricFile("LM-63", "2002", light, Opening(), (("_LAMPSET2", fields),), "none", (), 1, None, 5.0, ())
    lines = convert(file, "EULUMDAT").data.splitlines()
    assert int(lines[25]) == written
    assert read_eulumdat(b"\r\n".join(lines)).text("_LAMPSET2") == (fields if written == 2 else "")


def test_a_hundred_lamp_sets_at_most() -> None:
    light = IntensityDistribution("C", [0, 360], [0, 90], [[9, 0]] * 2)
    sets = tuple((f"_LAMPSET{number}", "1 | LED | 500 | w | 80 | 10") for number in range(2, 150))
    file = PhotometricFile("LM-63", "2002", light, Opening(), sets, "none", (), 1, None, 5.0, ())
    converted = convert(file, "EULUMDAT")
    assert any("of 148 further lamp sets the first 99 are written" in note for note in converted.notes)
    read_eulumdat(converted.data)


@pytest.mark.parametrize("last", [359.951, 359.97, 359.99])
def test_eulumdat_keeps_a_plane_next_to_360(last: float) -> None:
    light = IntensityDistribution("C", [0, 90, last, 360], [0, 90], [[9, 0], [9, 1], [9, 5], [9, 0]])
    file = PhotometricFile("LM-63", "2002", light, Opening(), (), "none", (), 1, None, 5.0, ())
    again = read_eulumdat(convert(file, "EULUMDAT").data).distribution
    assert again.candela_at([90, last, 0], 90).tolist() == pytest.approx([1, 5, 0], rel=1e-5)


def test_eulumdat_keeps_a_lamp_without_flux_worth_naming() -> None:
    light = IntensityDistribution("C", [0, 360], [0, 1e-6, 90], [[5, 0, 0]] * 2)
    for rated in (None, 1e-320, 1e12):
        file = PhotometricFile("LM-63", "2002", light, Opening(), (), "none", (), 1, rated, 5.0, ())
        assert read_eulumdat(convert(file, "EULUMDAT").data).distribution.candela.max() == pytest.approx(5, rel=1e-5)


def test_eulumdat_leaves_out_a_rated_flux_that_makes_no_ratio() -> None:
    light = IntensityDistribution("C", [0, 360], [0, 90], [[1e9, 1e9]] * 2)
    for keywords, rated in (((("_RATEDLUMENS", "1"),), None), ((), 1e-6)):
        file = PhotometricFile("LM-63", "2002", light, Opening(), keywords, "none", (), 1, rated, 5.0, ())
        converted = convert(file, "EULUMDAT")
        assert "the rated flux is far below that of the file, so the file is written as absolute photometry" in (
            converted.notes
        )
        assert read_eulumdat(converted.data).absolute


def test_an_angle_without_any_value_leaves_the_grid() -> None:
    table = read_photometric(b"# basis: measured\n,20L,10L,V,20R\n10U,1,,2,1\nH,5,,3,1\n5D,,,,\n")
    assert table.distribution.horizontal_deg.tolist() == [-20, 0, 20]
    assert table.distribution.vertical_deg.tolist() == [0, 10]


def test_angles_nearer_than_any_format_tells() -> None:
    table = b"# basis: measured\nH,V,cd\n0,0,1\n1,0,2\n0,1,3\n1,1.00000005,4\n"
    error = refused(lambda: read_photometric(table))
    assert (error.code, error.line) == (45, 6) and "nearer than 1e-07 deg" in str(error)


def many(keywords: int, text: str = "x", *, kind: Literal["A", "C"] = "A") -> PhotometricFile:
    """A small lamp with many keywords."""
    h, v = ([-30, 30], [-20, 20]) if kind == "A" else ([0, 360], [0, 90])
    light = IntensityDistribution(kind, h, v, [[9, 8]] * 2)
    said = tuple((f"_KEY {number}", text) for number in range(keywords))
    return PhotometricFile("TM-33", "1.1", light, Opening(), said, "none", (), 1, None, 5.0, ())


@pytest.mark.parametrize(
    ("target", "keywords", "text", "says"),
    [
        ("LM-63-2002", 5_000, "x", "the keywords need 5004 lines; 4999 have room"),
        ("LM-63-2019", 1, "x " * 400_000, "lines; 4999 have room"),
        ("H-V table", 10_000, "x", "the keywords need 10000 lines"),
        ("TM-33", 1, "x" * 1_000_001, "one has room for 1000000"),
        ("TM-33", 45_000, "x" * 90, "all for 3900000"),
    ],
)
def test_keywords_that_no_reader_would_take_are_not_written(
    target: Target, keywords: int, text: str, says: str
) -> None:
    with pytest.raises(LimitError) as caught:
        convert(many(keywords, text), target)
    assert says in str(caught.value)


@pytest.mark.parametrize(
    ("target", "keywords", "text"),
    [
        ("LM-63-2002", 4_990, "x" * 120), ("H-V table", 9_990, "x"), ("H-V table", 1, "x," * 400_000),
        ("TM-33", 1, "x" * 999_999), ("TM-33", 45_000, "x" * 40), ("EULUMDAT", 45_000, "x"),
    ],
)  # fmt: skip
def test_keywords_just_below_the_limits_are_written_and_read(target: Target, keywords: int, text: str) -> None:
    read_photometric(convert(many(keywords, text), target).data)


def test_tables_that_no_reader_would_take_are_not_written() -> None:
    """Almost four million values on a part of the angles: the rest is continued with 0, which makes them more."""
    h = np.linspace(-40, 41, 2000)
    candela = np.ones((h.size, h.size))
    candela[3, 5] = 2.0
    light = IntensityDistribution("A", h, h, candela)
    file = PhotometricFile("H-V table", "", light, Opening(), (), "none", (), 1, None, 0.0, ())
    for target in ("LM-63-2002", "TM-33", "H-V table"):
        with pytest.raises(LimitError) as caught:
            convert(file, target)
        assert "too many for a file" in str(caught.value) or "at most" in str(caught.value)


def test_a_file_that_would_be_too_large_is_refused() -> None:
    assert written(bytes(LARGEST_PHOTOMETRIC_BYTES))
    with pytest.raises(LimitError, match=r"would be a file of 32\.0 MB"):
        written(bytes(LARGEST_PHOTOMETRIC_BYTES + 1))
