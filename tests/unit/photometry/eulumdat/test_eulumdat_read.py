"""Fields, symmetry, lamp sets, opening and text of EULUMDAT files, written line by line for each test."""

from __future__ import annotations

import numpy as np
import pytest
from eulumdat_by_line import ONE_SET, eulumdat

from scenelux.errors import UsageError
from scenelux.photometry import PhotometricFile, flux_lm
from scenelux.photometry.eulumdat.read import read_eulumdat

GAMMA = (0, 15, 37.5, 90, 120)


def codes(file: PhotometricFile) -> set[int]:
    return {one.code for one in file.warnings}


def uneven(c: float, gamma: float) -> float:
    """Candela per 1000 lm of a lamp without any symmetry, the same in every plane at gamma 0."""
    sideways = 1 + 0.5 * np.cos(np.radians(c - 20)) + 0.2 * np.sin(np.radians(2 * c))
    return round(float(300 * np.cos(np.radians(gamma / 2)) * (1 + (sideways - 1) * np.sin(np.radians(gamma)))), 3)


# Symmetry: the whole list of C-angles, the stored ones in their order, and the angle that stands for another.
SYMMETRIES = {
    0: ((0, 10, 50, 200, 300), (0, 10, 50, 200, 300), lambda c: c),
    1: ((0,), (0,), lambda c: 0.0),
    2: ((0, 10, 50, 180, 310, 350), (0, 10, 50, 180), lambda c: c if c <= 180 else 360 - c),
    3: (
        (0, 20, 90, 160, 180, 220, 270, 320),
        (270, 320, 0, 20, 90),
        lambda c: c if c <= 90 or c >= 270 else (180 - c) % 360,
    ),
    4: ((0, 10, 90, 170, 180, 190, 270, 350), (0, 10, 90), lambda c: min(c % 180, 180 - c % 180)),
}


@pytest.mark.parametrize("symmetry", SYMMETRIES)
@pytest.mark.parametrize("end", ["\r\n", "\n", "\r"], ids=["CRLF", "LF", "CR"])
def test_every_symmetry_with_unequal_steps(symmetry: int, end: str) -> None:
    circle, stored, source = SYMMETRIES[symmetry]
    rows = [[uneven(c, gamma) for gamma in GAMMA] for c in stored]
    lamp = ("1", "LED", "2000", "", "", "24")
    file = read_eulumdat(eulumdat(symmetry, circle, GAMMA, rows, sets=(lamp,), end=end, step_c="45", step_gamma="5"))
    for c in circle:
        for gamma in GAMMA:
            expected = 2 * uneven(source(c), gamma)  # 2000 lm
            assert float(file.distribution.candela_at(c, gamma)) == pytest.approx(expected, rel=1e-12), (c, gamma)
    assert float(file.distribution.candela_at(10, 121)) == 0.0
    assert codes(file) <= {39, 43, 52}
    words = ("none", "rotational", "mirrored in the plane 0-180", "mirrored in the plane 90-270", "quadrants")
    assert file.symmetry == words[symmetry]


def test_between_the_last_plane_and_plane_0_the_intensity_is_linear() -> None:
    circle = SYMMETRIES[0][0]
    file = read_eulumdat(eulumdat(0, circle, (0, 90), [[100, 10 * number] for number in range(1, 6)]))
    assert float(file.distribution.candela_at(345, 90)) == pytest.approx(0.25 * 50 + 0.75 * 10)


def test_listed_plane_360_is_plane_0() -> None:
    rows = [[100, 10], [100, 20], [100, 30], [100, 10]]
    file = read_eulumdat(eulumdat(0, (0, 120, 240, 360), (0, 90), rows))
    assert file.distribution.horizontal_deg.tolist() == [0, 120, 240, 360] and 35 not in codes(file)


@pytest.mark.parametrize("planes", [1, 24])
def test_rotational_with_one_or_all_planes_listed(planes: int) -> None:
    circle = tuple(15 * number for number in range(planes))
    file = read_eulumdat(eulumdat(1, circle))
    assert file.distribution.candela.tolist() == [[500, 350, 0]] * 2
    assert codes(file) == {43, 52}


def test_rotational_with_all_planes_announced_and_one_listed() -> None:
    file = read_eulumdat(eulumdat(1, (0,), number_of_planes="24"))
    assert file.distribution.candela.tolist() == [[500, 350, 0]] * 2 and 118 in codes(file)


def test_every_field_has_its_keyword() -> None:
    file = read_eulumdat(
        eulumdat(tilt="15", lorl="137.4", ratios=(0.5, *range(1, 10)), conversion="1", dff="98.5", company="Works & Co")
    )
    assert file.keywords == (
        ("MANUFAC", "Works & Co"),
        ("TEST", "Report 7"),
        ("LUMINAIRE", "Flood"),
        ("LUMCAT", "F-1"),
        ("_FILENAME", "flood"),
        ("ISSUEDATE", "25.11.2026 / tester"),
        ("LAMP", "LED module"),
        ("_COLOUR", "white 5000 K"),
        ("_CRI", "70-79"),
        ("_LUMINAIRETYPE", "1"),
        ("_LUMINAIRESIZEMM", "300 200 80"),
        ("_DFF", "98.5"),
        ("_LORL", "137.4"),
        ("_MEASUREMENTTILT", "15"),
        ("_DIRECTRATIOS", "0.5 1 2 3 4 5 6 7 8 9"),
    )
    assert (file.format, file.edition, file.lamps, file.rated_flux_lm, file.input_watts) == (
        "EULUMDAT",
        "",
        1,
        1000,
        24,
    )
    assert file.title == "EULUMDAT" and 117 in codes(file)


def test_flux_of_the_set_counts_and_never_the_number_of_lamps() -> None:
    lamps = ("6", "tube", "3600", "", "", "48")
    file = read_eulumdat(eulumdat(sets=(lamps,)))
    assert float(file.distribution.candela_at(0, 0)) == pytest.approx(3.6 * 500)
    assert file.lamps == 6 and file.rated_flux_lm == 3600


@pytest.mark.parametrize("count", ["-1", "-4"])
def test_negative_number_of_lamps_is_absolute_photometry(count: str) -> None:
    file = read_eulumdat(eulumdat(sets=((count, "LED", "3600", "", "", "48"),)))
    assert file.absolute and file.lamps == abs(int(count))
    assert float(file.distribution.candela_at(0, 0)) == pytest.approx(3.6 * 500)
    assert 52 not in codes(file)


def test_conversion_factor_is_applied_once_and_told() -> None:
    file = read_eulumdat(eulumdat(conversion="0.8"))
    assert float(file.distribution.candela_at(0, 0)) == pytest.approx(400)
    assert file.factors == (("lamp flux in 1000 lm", 1.0), ("conversion factor", 0.8)) and file.factor == 0.8
    assert 113 in codes(file)


SETS = (ONE_SET, ("-2", "second lamp", "1500,5", "amber", "", ""), ("4", "third", "2000", "", "80", "60"))


def test_several_lamp_sets() -> None:
    first = read_eulumdat(eulumdat(sets=SETS))
    assert (first.rated_flux_lm, first.text("LAMP"), first.input_watts) == (1000, "LED module", 24)
    assert first.text("_LAMPSET2") == "-2 | second lamp | 1500.5 | amber |  | "
    assert first.text("_LAMPSET3") == "4 | third | 2000 |  | 80 | 60"
    assert 114 in codes(first)
    third = read_eulumdat(eulumdat(sets=SETS), lamp_set=3)
    assert (third.rated_flux_lm, third.text("LAMP"), third.input_watts, third.lamps) == (2000, "third", 60, 4)
    assert third.text("_LAMPSET1") == "1 | LED module | 1000 | white 5000 K | 70-79 | 24"
    assert flux_lm(third.distribution) == pytest.approx(2 * flux_lm(first.distribution), rel=1e-12)


@pytest.mark.parametrize("lamp_set", [0, 4, -1])
def test_a_lamp_set_that_is_not_there(lamp_set: int) -> None:
    with pytest.raises(UsageError, match="sets 1 to 3"):
        read_eulumdat(eulumdat(sets=SETS), lamp_set=lamp_set)


@pytest.mark.parametrize(
    ("mm", "shape", "solid", "size_m"),
    [
        ((240, 120, 0, 0, 0, 0), "rectangle", "rectangle", (0.12, 0.24, 0)),
        ((240, 120, 30, 30, 30, 30), "rectangle", "box", (0.12, 0.24, 0.03)),
        ((80, 0, 0, 0, 0, 0), "ellipse", "circle", (0.08, 0.08, 0)),
        ((80, 0, 50, 50, 50, 50), "ellipse", "vertical cylinder", (0.08, 0.08, 0.05)),
        ((0, 0, 0, 0, 0, 0), "point", "point", (0, 0, 0)),
        ((0, 120, 0, 0, 0, 0), "rectangle", "rectangle", (0.12, 0, 0)),
    ],
)
def test_openings(mm: tuple[float, ...], shape: str, solid: str, size_m: tuple[float, ...]) -> None:
    """Length of the format lies along C90-C270, so it is the width of an opening; without width it is a circle."""
    opening = read_eulumdat(eulumdat(opening_mm=mm)).opening
    assert (opening.shape, opening.solid) == (shape, solid)
    assert opening.size_m == pytest.approx(size_m)


def test_heights_that_differ_are_told_and_the_largest_counts() -> None:
    file = read_eulumdat(eulumdat(opening_mm=(240, 120, 0, 10, 40, 10)))
    assert file.opening.height_m == pytest.approx(0.04) and 116 in codes(file)


def test_light_output_ratio_within_two_points_is_silent() -> None:
    exact = 100 * flux_lm(read_eulumdat(eulumdat()).distribution) / 1000
    assert 115 not in codes(read_eulumdat(eulumdat(lorl=f"{exact - 1.9:.3f}")))
    assert 115 in codes(read_eulumdat(eulumdat(lorl=f"{exact - 2.1:.3f}")))
    assert 115 not in codes(read_eulumdat(eulumdat(lorl="0")))


def test_trailing_blank_lines_and_blank_texts() -> None:
    file = read_eulumdat(eulumdat(company="", texts=("", "", "", "", ""), rest=("", " ", "\t", "")))
    assert codes(file) == {43, 52} and file.text("MANUFAC") == ""


def test_lamp_set_fields_at_the_end_may_be_empty() -> None:
    file = read_eulumdat(eulumdat(sets=(("1", "", "1000", "", "", ""),)))
    assert file.input_watts == 0 and codes(file) == {43, 52}


def test_other_empty_numbers_are_told() -> None:
    file = read_eulumdat(eulumdat(conversion="", dff="", opening_mm=(240, 120, "", "", "", "")))
    told = next(one for one in file.warnings if one.code == 110)
    assert "downward flux fraction" in told.sentence and "luminous height at C270" in told.sentence
    assert float(file.distribution.candela_at(0, 0)) == 500


def test_line_ends_of_careless_programs() -> None:
    assert read_eulumdat(eulumdat(end="\r\r\n")).distribution.candela.tolist() == [[500, 350, 0]] * 2


def test_places_of_warnings_are_lines_of_the_file() -> None:
    file = read_eulumdat(eulumdat(conversion="0.5", lorl="10", end="\r"))
    assert {one.code: one.line for one in file.warnings if one.code in (113, 115)} == {113: 24, 115: 23}
