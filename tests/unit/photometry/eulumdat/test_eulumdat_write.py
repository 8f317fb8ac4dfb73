"""EULUMDAT as written: what comes back, which symmetry is left out, and what is said to be lost."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from eulumdat_by_line import ONE_SET, eulumdat
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.photometry import (
    EllipticalGaussian,
    IntensityDistribution,
    Opening,
    PhotometricFile,
    TestPoint,
    TiltTable,
    flux_lm,
    read_lm63,
    sample,
    write_lm63,
)
from scenelux.photometry.eulumdat.look import looks_like_eulumdat
from scenelux.photometry.eulumdat.read import read_eulumdat
from scenelux.photometry.eulumdat.write import write_eulumdat
from scenelux.photometry.file import Generation
from scenelux.photometry.lm63.convert import write_lm63_file

GAMMA = (0, 15, 37.5, 90, 120, 180)
ROUND = PhotometricFile(
    format="LM-63", edition="2002", distribution=IntensityDistribution("C", [0, 360], [0, 45, 90], [[100, 50, 0]] * 2),
    opening=Opening(), keywords=(), symmetry="rotational", factors=(), lamps=1, rated_flux_lm=None, input_watts=24.0,
    warnings=(),
)  # fmt: skip


def written(file: PhotometricFile) -> list[str]:
    """The lines as written, from 0."""
    text = write_eulumdat(file)[0].decode("cp1252")
    assert text.endswith("\r\n") and text.count("\n") == text.count("\r\n") == text.count("\r")
    return text.split("\r\n")[:-1]


def lamp(circle: tuple[float, ...], source: dict[float, float] | None = None) -> IntensityDistribution:
    """Different planes but where the source of one is another."""
    source = source or {}

    def row(c: float) -> list[float]:
        at = source.get(c, c)
        return [100.0, *(90.0 + 7 * np.sin(at * 0.7 + gamma) for gamma in GAMMA[1:-1]), 12.0]

    rows = [row(c) for c in circle]
    return IntensityDistribution("C", [*circle, 360], GAMMA, [*rows, rows[0]])


CASES = {
    "none": (0, lamp((0, 10, 50, 200, 300)), 5),
    "rotational": (1, lamp((0, 90, 180, 270), {90: 0, 180: 0, 270: 0}), 1),
    "front": (2, lamp((0, 10, 50, 180, 310, 350), {310: 50, 350: 10}), 4),
    "side": (3, lamp((0, 20, 90, 160, 180, 220, 270, 320), {160: 20, 180: 0, 220: 320}), 5),
    "both": (4, lamp((0, 10, 90, 170, 180, 190, 270, 350), {170: 10, 180: 0, 190: 10, 350: 10, 270: 90}), 3),
}


@pytest.mark.parametrize(("symmetry", "source", "stored"), CASES.values(), ids=CASES)
def test_only_exact_symmetry_is_left_out(symmetry: int, source: IntensityDistribution, stored: int) -> None:
    file = replace(ROUND, distribution=source)
    lines = written(file)
    planes = int(lines[3])
    assert int(lines[2]) == symmetry and len(lines) == 42 + planes + 6 + stored * 6
    again = read_eulumdat(write_eulumdat(file)[0]).distribution
    for c in source.horizontal_deg:
        expected = source.candela_at(c, GAMMA)
        assert again.candela_at(c, GAMMA) == pytest.approx(expected, rel=1e-5)
    if symmetry > 1:  # the least difference in one plane, and everything is written
        candela = source.candela.copy()
        candela[1, 2] *= 1.00001
        assert int(written(replace(file, distribution=replace(source, candela=candela)))[2]) == 0


def test_side_symmetry_with_more_planes_in_front_than_behind_cannot_be_stored() -> None:
    """The stored planes begin at number 3/4 of the list: that is C 270 only when both halves have as many."""
    source = lamp((0, 20, 40, 90, 140, 160, 180, 270), {140: 40, 160: 20, 180: 0})
    file = replace(ROUND, distribution=source)
    assert int(written(file)[2]) == 0
    again = read_eulumdat(write_eulumdat(file)[0]).distribution
    assert again.candela == pytest.approx(source.candela, rel=1e-5)


@pytest.mark.parametrize("planes", [(0, 90), (0, 100), (0, 5, 10), (0, 180), (0, 0.01, 359.98, 359.99)])
def test_a_wide_gap_before_plane_0_is_filled_so_that_readers_see_a_circle(planes: tuple[float, ...]) -> None:
    source = lamp(planes)
    again = read_eulumdat(write_eulumdat(replace(ROUND, distribution=source))[0]).distribution
    c = np.linspace(0, 360, 73)[:, None]
    assert again.candela_at(c, GAMMA) == pytest.approx(source.candela_at(c, GAMMA), rel=1e-5)


@given(st.integers(0, 10_000))
@settings(max_examples=30)
def test_round_trip_of_any_table(seed: int) -> None:
    rng = np.random.default_rng(seed)
    planes = np.unique(np.round(np.concatenate(((0, 360), rng.uniform(1, 359, rng.integers(0, 9)))), 3))
    gamma = np.unique(np.round(np.concatenate(((0, 90), rng.uniform(1, 179, rng.integers(0, 9)))), 2))
    candela = rng.uniform(0, 1, (planes.size, gamma.size)) * 10.0 ** rng.integers(-3, 7)
    candela[-1] = candela[0]
    source = IntensityDistribution("C", planes, gamma, candela)
    rated = None if rng.integers(2) else float(rng.uniform(10, 1e5))
    opening = Opening("rectangle", *np.round(rng.uniform(0.01, 0.5, 3), 4), "box")
    file = replace(ROUND, distribution=source, rated_flux_lm=rated, opening=opening, lamps=3)
    again = read_eulumdat(write_eulumdat(file)[0])
    assert again.distribution.candela_at(planes[:, None], gamma) == pytest.approx(
        candela, rel=1e-5, abs=1e-9 * candela.max()
    )
    assert flux_lm(again.distribution) == pytest.approx(flux_lm(source), rel=2e-3)  # the edge falls over 0.01 deg
    assert again.opening.size_m == pytest.approx(opening.size_m, rel=1e-6)
    if rated is None:
        assert again.absolute
    else:
        assert (again.rated_flux_lm, again.lamps) == (pytest.approx(rated, rel=1e-5), 3)


def test_everything_in_a_file_of_the_format_comes_back() -> None:
    sets = (ONE_SET, ("-2", "second", "1500", "amber", "", ""), ("4", "Röhre", "2000", "", "80", "60"))
    first = read_eulumdat(
        eulumdat(sets=sets, tilt="15", lorl="137.37", ratios=(0.5, *range(1, 10)), company="Löwen", dff="100")
    )
    data, told = write_eulumdat(first)
    again = read_eulumdat(data)
    assert told == () and again.keywords == first.keywords
    assert (again.lamps, again.rated_flux_lm, again.input_watts) == (1, 1000, 24)
    assert again.opening == first.opening and again.symmetry == first.symmetry
    assert again.distribution.candela == pytest.approx(first.distribution.candela)
    assert write_eulumdat(again)[0] == data


def test_conversion_factor_is_baked_in() -> None:
    first = read_eulumdat(eulumdat(conversion="0.8"))
    lines = written(first)
    assert lines[23] == "1" and [float(one) for one in lines[-3:]] == [400, 280, 0]


def test_absolute_photometry() -> None:
    lines = written(ROUND)
    flux = flux_lm(ROUND.distribution)
    assert lines[26] == "-1" and float(lines[28]) == pytest.approx(flux, rel=1e-5)
    assert lines[22] == "100" and lines[24] == "0" and lines[21] == "100"
    again = read_eulumdat(write_eulumdat(ROUND)[0])
    assert again.absolute and again.warnings == ()
    assert again.distribution.candela == pytest.approx(ROUND.distribution.candela, rel=1e-5)


def test_rated_flux_beside_absolute_intensities_comes_through_lm63_and_back() -> None:
    first = read_eulumdat(eulumdat(sets=(("2", "LED", "3600", "", "", "48"),), gamma=(0, 45, 90), rows=((90, 50, 0),)))
    between = read_lm63(write_lm63_file(first))
    again = read_eulumdat(write_eulumdat(between)[0])
    assert between.absolute and (again.lamps, again.rated_flux_lm) == (2, 3600)
    assert again.distribution.candela == pytest.approx(first.distribution.candela, rel=1e-5)
    for key in ("MANUFAC", "TEST", "LUMINAIRE", "LUMCAT", "LAMP", "_COLOUR", "_CRI", "_FILENAME", "_LUMINAIRESIZEMM"):
        assert again.text(key) == first.text(key), key
    assert again.opening == first.opening and again.input_watts == 48


def test_relative_photometry_and_its_shares() -> None:
    up = IntensityDistribution("C", [0, 360], [0, 180], [[100, 100]] * 2)
    lines = written(replace(ROUND, distribution=up, rated_flux_lm=2000.0, lamps=2))
    assert (lines[26], lines[28]) == ("2", "2000")
    assert float(lines[22]) == pytest.approx(100 * 400 * np.pi / 2000, abs=0.006)
    assert float(lines[21]) == pytest.approx(50, abs=0.006)


@pytest.mark.parametrize("gamma", [(0, 90), (90, 180), (0, 180), (0, 60), (20, 70), (100, 170), (89.995, 120)])
def test_gamma_angles_are_completed_with_0(gamma: tuple[float, float]) -> None:
    source = IntensityDistribution("C", [0, 360], gamma, [[100, 60]] * 2)
    again = read_eulumdat(write_eulumdat(replace(ROUND, distribution=source))[0])
    assert 39 not in {one.code for one in again.warnings}
    assert (again.distribution.vertical_deg[0], again.distribution.vertical_deg[-1]) in ((0, 90), (90, 180), (0, 180))
    inside = np.linspace(gamma[0] + 0.02, gamma[1] - 0.02, 9)
    assert again.distribution.candela_at(0, inside) == pytest.approx(source.candela_at(0, inside), rel=1e-3)
    assert again.distribution.candela_at(0, [gamma[0] - 0.03, gamma[1] + 0.03]).tolist() == [0, 0]


@pytest.mark.parametrize(
    ("opening", "mm", "told"),
    [
        (Opening(), (0, 0), ""),
        (Opening("ellipse", 0.08, 0.08, 0, "circle"), (80, 0), ""),
        (Opening("ellipse", 0.08, 0.08, 0.05, "vertical cylinder"), (80, 0), ""),
        (Opening("rectangle", 0.12, 0.24, 0, "rectangle"), (240, 120), ""),
        (Opening("rectangle", 0.12, 0.0, 0, "rectangle"), (0, 120), ""),
        (Opening("rectangle", 0.0, 0.24, 0.1, "upright rectangle"), (240, 1), "1 mm wide"),
        (Opening("ellipse", 0.12, 0.24, 0, "ellipse"), (240, 120), "elliptic"),
        (Opening("ellipse", 0.1, 0.1, 0.1, "sphere"), (100, 0), "sphere"),
    ],
    ids=["point", "circle", "cylinder", "rectangle", "line", "upright", "ellipse", "sphere"],
)
def test_openings(opening: Opening, mm: tuple[float, float], told: str) -> None:
    data, sentences = write_eulumdat(replace(ROUND, opening=opening))
    lines = data.decode().split("\r\n")
    assert (float(lines[15]), float(lines[16])) == mm
    assert [float(one) for one in lines[17:21]] == pytest.approx([1000 * opening.height_m] * 4)
    assert (told in " ".join(sentences)) if told else not sentences
    if not told:
        again = read_eulumdat(data).opening
        assert (again.shape, again.solid) == (opening.shape, opening.solid)
        assert again.size_m == pytest.approx(opening.size_m)


def test_texts_are_windows_1252_and_short() -> None:
    keywords = (("MANUFAC", "Łódź – 60° ☃ μ"), ("LUMINAIRE", "x" * 100), ("TEST", "two\nlines"), ("MORE", "and more"))
    data, told = write_eulumdat(replace(ROUND, keywords=keywords))
    lines = data.decode("cp1252").split("\r\n")
    assert lines[0] == "?ódz – 60° ? ?" and lines[8] == "x" * 78 and lines[7] == "two lines and more"
    assert any("question marks" in one for one in told) and any("cut to 78" in one for one in told)


def test_numbers_are_plain() -> None:
    source = IntensityDistribution("C", [0, 360], [0, 22.25, 90], [[123456789.0, 1e-4, 1e-12]] * 2)
    lines = written(replace(ROUND, distribution=source, rated_flux_lm=1000.0))
    assert lines[-3:] == ["123457000", "0.0001", "0"] and lines[44] == "22.25"


def test_what_the_format_cannot_hold_is_told() -> None:
    rich = replace(
        ROUND,
        keywords=(
            ("MANUFAC", "m"), ("TESTLAB", "x"), ("OTHER", "a"), ("OTHER", "b"), ("", "free"), ("TEST", "1"),
            ("TEST", "2"), ("_LAMPSET2", "broken"), ("_DIRECTRATIOS", "1 2"), ("_LORL", "50"),
        ),
        tilt=TiltTable(1, (0.0, 90.0), (1.0, 0.8)),
        generation=Generation("1.00010", ("computer simulation",)),
        basis="required minimum",
        points=(TestPoint(0, 0, 100),),
    )  # fmt: skip
    told = " / ".join(write_eulumdat(rich)[1])
    for words in (
        "no field for TESTLAB, OTHER, text without a keyword, TEST", "_LAMPSET2 does not hold a lamp set",
        "_DIRECTRATIOS does not hold 10 plain numbers", "light output ratio of 50 % is written as computed, 100.0 %",
        "tilt factors", "came about", "required minimum", "test points",
    ):  # fmt: skip
        assert words in told, words


@pytest.mark.parametrize("text", ["-5", "0", "many", "3600 lm"])
def test_a_rated_flux_in_words_is_not_taken(text: str) -> None:
    data, told = write_eulumdat(replace(ROUND, keywords=(("_RATEDLUMENS", text),)))
    assert read_eulumdat(data).absolute and told == ("the format has no field for _RATEDLUMENS",)


def test_date_of_older_editions_finds_the_date_field() -> None:
    assert written(replace(ROUND, keywords=(("DATE", "1992"),)))[11] == "1992"


@pytest.mark.parametrize("rated", [None, 0.0, 1000.0])
def test_dark_lamp(rated: float | None) -> None:
    dark = IntensityDistribution("C", [0, 360], [0, 90], np.zeros((2, 2)))
    again = read_eulumdat(write_eulumdat(replace(ROUND, distribution=dark, rated_flux_lm=rated))[0])
    assert not again.distribution.candela.any() and 58 in {one.code for one in again.warnings}


def test_rated_flux_0_becomes_absolute_photometry() -> None:
    data, told = write_eulumdat(replace(ROUND, rated_flux_lm=0.0))
    assert read_eulumdat(data).distribution.candela == pytest.approx(ROUND.distribution.candela, rel=1e-5)
    assert "rated flux is 0" in told[0]


def test_types_a_and_b_become_type_c() -> None:
    source = sample(EllipticalGaussian(1000.0, 40.0, 20.0))
    data, told = write_eulumdat(replace(ROUND, distribution=source))
    again = read_eulumdat(data)
    assert again.distribution.photometric_type == "C" and again.symmetry == "quadrants"
    assert flux_lm(again.distribution) == pytest.approx(1000, rel=1e-3)
    assert "resampled" in told[0] and looks_like_eulumdat(data)
    turned = IntensityDistribution("A", source.horizontal_deg, source.vertical_deg, source.candela)
    assert "type A" in write_eulumdat(replace(ROUND, distribution=turned))[1][0]


def test_the_same_bytes_again() -> None:
    file = replace(ROUND, distribution=sample(EllipticalGaussian(1000.0, 40.0, 20.0)))
    assert write_eulumdat(file) == write_eulumdat(file)


@pytest.mark.parametrize("solid", ["rectangle", "circle"])
def test_pair_of_one_lamp_in_both_formats(solid: str) -> None:
    """One lamp written as LM-63 and as EULUMDAT is the same lamp when both are read."""
    source = CASES["side"][1]
    opening = Opening("rectangle", 0.12, 0.24, 0.03, "box") if solid == "rectangle" else Opening(
        "ellipse", 0.08, 0.08, 0, "circle"
    )  # fmt: skip
    lm63_bytes = write_lm63(source, [("TEST", "invented")], opening=opening, input_watts=24)
    by_lm63 = read_lm63(lm63_bytes)
    data, _ = write_eulumdat(by_lm63)
    by_eulumdat = read_eulumdat(data)
    assert flux_lm(by_eulumdat.distribution) == pytest.approx(flux_lm(by_lm63.distribution), rel=1e-5)
    c, gamma = np.linspace(0, 359, 61)[:, None], np.linspace(0, 180, 37)
    both = (one.distribution.candela_at(c, gamma) for one in (by_eulumdat, by_lm63))
    assert next(both) == pytest.approx(next(both), rel=2e-5)
    assert by_eulumdat.opening.shape == by_lm63.opening.shape
    assert by_eulumdat.opening.size_m == pytest.approx(by_lm63.opening.size_m)
    assert by_eulumdat.input_watts == by_lm63.input_watts == 24
    lines = data.decode("cp1252").split("\r\n")  # the raw sizes stand crosswise: LM-63 writes width, length, height
    raw = [abs(float(one)) for one in lm63_bytes.decode().split("TILT=NONE")[1].split()[7:10]]
    if solid == "rectangle":
        assert [float(one) / 1000 for one in lines[15:18]] == pytest.approx([raw[0], raw[1], raw[2]])
