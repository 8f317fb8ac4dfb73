"""H-V tables: both forms, what they say about themselves, and every fault with its number and place."""

from __future__ import annotations

from contextlib import suppress

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import LinearNDInterpolator

from scenelux.errors import InputError, LimitError, PhotometricError
from scenelux.photometry import PhotometricFile, TestPoint, direction, format_of
from scenelux.photometry.hv import cells
from scenelux.photometry.hv.read import looks_like_hv_table, read_hv_table
from scenelux.shipped import shipped

MEASURED = "# basis: measured\n"
SQUARE = "5U-5L,10\n5U-5R,30\n5D-5L,20\n5D-5R,40\n"


def read(text: str, **how: str) -> PhotometricFile:
    return read_hv_table(text.encode(how.get("encoding", "utf-8")), "table.csv")


def codes(file: PhotometricFile) -> set[int]:
    return {warning.code for warning in file.warnings}


def at(file: PhotometricFile, h: float, v: float) -> float:
    return float(file.distribution.candela_at(h, v))


def test_a_list_of_points() -> None:
    file = read(f"{MEASURED}point,cd\n{SQUARE}H-V,100\n")
    assert (file.format, file.edition, file.basis, file.symmetry) == ("H-V table", "", "measured", "none")
    assert (file.lamps, file.rated_flux_lm, file.input_watts, file.factors, file.absolute) == (1, None, 0.0, (), True)
    assert file.distribution.photometric_type == "A" and file.opening.shape == "point"
    assert file.points[0] == TestPoint(-5.0, 5.0, 10.0) and file.points[-1] == TestPoint(0.0, 0.0, 100.0)
    assert all(at(file, point.h_deg, point.v_deg) == point.candela for point in file.points)


@pytest.mark.parametrize(
    "text",
    [
        "H,V,cd\n-5,5,10\n5,5,30\n-5,-5,20\n5,-5,40\n",
        'name,V [deg],H [deg],cd,remark\nA,5,-5,10,"x, y"\nB,5,5,30,\nC,-5,-5,20,z\nD,-5,5,40\n',
        "left/right;up/down;intensity\n-5;5;10\n5;5;30\n-5;-5;20\n5;-5;40\n",
        "V,H,cd\n5U,5L,10\n5U,5R,30\n5D,5L,20\n5D,5R,40\n",
        f"test point,Candela\n{SQUARE}",
        SQUARE,
        SQUARE.replace(",", ";"),
        SQUARE.replace(",", "\t"),
        '"point","cd"\n' + SQUARE.replace("5U-5L", '"5U-5L"'),
        "# a remark\n\npoint , cd\n\n" + SQUARE.replace("\n", "\n,\n# more\n"),
        SQUARE.replace("\n", "\r\n"),
        SQUARE.replace("\n", "\r"),
        SQUARE + "\x1a\0",
        'point,cd,why\n5U-5L,10,"on two\nlines"\n5U-5R,30,\n5D-5L,20,\n5D-5R,40,"say ""so"""\n',
        "H\\V,5L,5R\n5U,10,30\n5D,20,40\n",
        ",-5,5\n5,10,30\n-5,20,40\n",
        "V/H;5R;5L;\n5D;40;20;\n5U;30;10\n",
        "x,5U,5D\n5L,10,20\n5R,30,40\n",
    ],
)
def test_every_form_of_the_same_table(text: str) -> None:
    file = read(MEASURED + text)
    assert file.distribution.horizontal_deg.tolist() == file.distribution.vertical_deg.tolist() == [-5, 5]
    assert file.distribution.candela.tolist() == [[20, 10], [40, 30]]
    assert codes(file) == {39}
    assert sorted((p.h_deg, p.v_deg, p.candela) for p in file.points) == [
        (-5, -5, 20), (-5, 5, 10), (5, -5, 40), (5, 5, 30)
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("data", "code"),
    [
        ((MEASURED + SQUARE).encode("utf-16"), 30),
        (b"\xef\xbb\xbf" + (MEASURED + SQUARE).encode(), 28),
        ((MEASURED + "# colour: gr\xfcn\n" + SQUARE).encode("cp1252"), 29),
    ],
)
def test_other_encodings_are_read_with_a_warning(data: bytes, code: int) -> None:
    file = read_hv_table(data)
    assert code in codes(file) and len(file.points) == 4
    assert code != 29 or file.keywords == (("_COLOUR", "grün"),)


# interpolation, worked by hand


def test_a_full_grid_is_bilinear() -> None:
    file = read(f"{MEASURED},-10,0,20\n10,0,50,10\n-5,20,100,40\n")
    assert at(file, 0, 2.5) == 75.0  # half way from 100 to 50
    assert at(file, 10, -5) == 70.0  # half way from 100 to 40
    assert at(file, -5, 2.5) == 42.5  # (0 + 50 + 20 + 100) / 4
    assert at(file, 5, 5) == pytest.approx(1 / 3 * (0.75 * 100 + 0.25 * 40) + 2 / 3 * (0.75 * 50 + 0.25 * 10))
    assert at(file, 20, 10) == 10.0 and at(file, 20.001, 10) == 0.0 and at(file, 0, -5.001) == 0.0


def test_a_missing_node_lies_on_the_line_of_its_neighbours() -> None:
    file = read(f"{MEASURED}{SQUARE}H-10L,4\nH-V,100\nH-20R,10\n")
    # H-5R lies between H-V (100 cd, 5 deg away) and H-20R (10 cd, 15 deg away): 100 - 90 * 5 / 20
    assert at(file, 5, 0) == pytest.approx(77.5)
    # H-5L lies half way between H-10L and H-V
    assert at(file, -5, 0) == pytest.approx(52.0)
    assert {156, 157} <= codes(file)


def test_a_missing_node_in_a_triangle() -> None:
    # (0, 4) = a (-10, 0) + b (10, 0) + c (0, 10): c = 0.4 from V, a = b = 0.3 from H; 0.3 * 10 + 0.3 * 40 + 0.4 * 100.
    # (30, 4) lies far to the right and only makes the row: the triangle beside it has its side from (10, 0) to (0, 10)
    file = read(f"{MEASURED}H,V,cd\n-10,0,10\n10,0,40\n0,10,100\n30,4,5\n")
    assert at(file, 0, 4) == pytest.approx(55.0)
    # (10, 4) = a (10, 0) + b (30, 4) + c (0, 10): a = 1/2, b = 1/6, c = 1/3
    assert at(file, 10, 4) == pytest.approx(40 / 2 + 5 / 6 + 100 / 3)


def test_scattered_points_agree_with_a_general_interpolator() -> None:
    rng = np.random.default_rng(5)
    h, v, c = rng.uniform(-40, 40, 30).round(3), rng.uniform(-9, 9, 30).round(3), rng.uniform(0, 900, 30).round(2)
    lines = "".join(f"{a},{b},{value}\n" for a, b, value in zip(h, v, c, strict=True))
    grid = read(f"{MEASURED}H,V,cd\n{lines}").distribution
    general = LinearNDInterpolator(np.stack((h, 3 * v), axis=-1), c)  # V stretched three times, as documented
    wanted = general(*np.meshgrid(grid.horizontal_deg, 3 * grid.vertical_deg, indexing="ij"))
    assert np.isnan(wanted).sum() > 100
    assert grid.candela == pytest.approx(np.nan_to_num(wanted), rel=1e-9, abs=1e-9)


def test_many_scattered_points_beside_an_empty_middle() -> None:
    ring = [(i, j) for i in range(-40, 41) for j in range(-40, 41) if 900 < i * i + j * j < 1600]
    lines = "".join(f"{i / 2},{j / 10},{500 + i - j}\n" for i, j in ring)
    grid = read(f"{MEASURED}H,V,cd\n{lines}").distribution.candela
    assert grid.shape == (79, 79) and grid[39, 39] == pytest.approx(500) and (grid == 0).sum() > 500


def test_nodes_beside_the_points_are_dark() -> None:
    file = read(f"{MEASURED}H-V,100\n10U-V,50\n10D-V,40\nH-20L,30\nH-20R,20\n")
    assert file.distribution.candela.tolist() == [[0, 30, 0], [40, 100, 50], [0, 20, 0]]
    assert at(file, 10, 5) == 42.5  # (100 + 50 + 20 + 0) / 4
    assert "4 nodes of the grid lie beside the 5 listed points" in "".join(w.sentence for w in file.warnings)


def test_the_range_that_is_covered_is_said() -> None:
    (sentence,) = (warning.sentence for warning in read(MEASURED + SQUARE).warnings)
    assert "covers H -5 to 5 and V -5 to 5 deg, no light is assumed outside" in sentence
    assert "at its edge the lamp still gives 100 % of its peak" in sentence
    zero_edge = read(f"{MEASURED},-1,0,1\n1,0,0,0\n0,0,9,0\n-1,0,0,0\n")
    assert "though" not in "".join(warning.sentence for warning in zero_edge.warnings)


SPOTS = st.lists(
    st.tuples(st.integers(-9, 9), st.integers(-6, 6), st.integers(0, 1000)),
    min_size=4, max_size=25, unique_by=lambda one: one[:2],
)  # fmt: skip


def table(points: list[tuple[float, float, float]]) -> str:
    return MEASURED + "H,V,cd\n" + "".join(f"{5 * h},{2 * v},{c:.9g}\n" for h, v, c in points)


def grid_of(points: list[tuple[float, float, float]]) -> np.ndarray | None:
    try:
        return read(table(points)).distribution.candela
    except PhotometricError as error:
        assert error.code == 158
        return None


@given(SPOTS)
@settings(max_examples=60)
def test_a_mirrored_table_gives_the_mirrored_grid(points: list[tuple[int, int, int]]) -> None:
    there, mirrored = grid_of(points), grid_of([(-h, v, c) for h, v, c in points])
    assert (there is None) == (mirrored is None)
    if there is not None and mirrored is not None:
        assert np.allclose(there, mirrored[::-1], rtol=1e-9, atol=1e-9)


@given(SPOTS)
@settings(max_examples=60)
def test_the_order_of_the_lines_does_not_matter(points: list[tuple[int, int, int]]) -> None:
    there, turned = grid_of(points), grid_of(points[::-1])
    assert there is None or np.array_equal(there, turned)


@given(SPOTS)
@settings(max_examples=60)
def test_a_plane_stays_a_plane(points: list[tuple[int, int, int]]) -> None:
    sloping = [(h, v, 500.0 + 7.0 * h - 11.0 * v) for h, v, _ in points]
    grid = grid_of(sloping)
    if grid is not None:
        h, v = (np.unique([one[axis] for one in points]) for axis in (0, 1))
        plane = 500.0 + 7.0 * h[:, None] - 11.0 * v[None, :]
        assert np.all((np.abs(grid - plane) < 1e-6) | (grid == 0.0))


@given(SPOTS)
@settings(max_examples=60)
def test_every_listed_point_keeps_its_value(points: list[tuple[int, int, int]]) -> None:
    if grid_of(points) is not None:
        file = read(table(points))
        assert all(at(file, 5 * h, 2 * v) == c for h, v, c in points)
        assert len(file.points) == len(points)


def test_rounding_leads_no_interpolated_value_below_zero() -> None:
    corners = "-90,-90,1\n90,-90,2\n-90,90,3\n"
    file = read(f"{MEASURED}H,V,cd\n0,0,0\n-12,0,0\n-9.5,0,0\n-10,-1,1\n{corners}")
    assert file.distribution.candela.min() == 0.0


# what the table says about itself


def test_type_a_is_read_and_b_on_request() -> None:
    a, b = read(MEASURED + SQUARE.replace("5U", "60U")), read(f"{MEASURED}# type: b\n" + SQUARE.replace("5U", "60U"))
    assert (a.distribution.photometric_type, b.distribution.photometric_type) == ("A", "B")
    corner = [direction(file.distribution.photometric_type, 5, 60) for file in (a, b)]
    assert [file.distribution.intensity(d) for file, d in zip((a, b), corner, strict=True)] == [30, 30]
    assert not np.allclose(*corner)


@pytest.mark.parametrize(
    ("unit", "factor"),
    [("cd", 1), ("kcd", 1000), ("lx at 25 m", 625), ("lux at 3.16 m", 9.9856), ("LX @ 10 m", 100)],
)
def test_units(unit: str, factor: float) -> None:
    file = read(f"{MEASURED}# unit: {unit}\npoint,value\n{SQUARE}")
    assert at(file, 5, -5) == pytest.approx(40 * factor) and file.factor == pytest.approx(factor)
    assert [point.candela / factor for point in file.points] == pytest.approx([10, 30, 20, 40])
    in_header = read(f"{MEASURED}point,value [{unit}]\n{SQUARE}")
    assert in_header.factors == file.factors


def test_lux_in_the_header_with_the_distance_above() -> None:
    assert read(f"{MEASURED}# unit: lx at 10 m\npoint,E [lx]\n{SQUARE}").factor == 100


@pytest.mark.parametrize("said", ["required minimum", "Required  Minimum", "minimum", "required"])
def test_required_minimum_is_marked(said: str) -> None:
    file = read(f"# basis: {said}\n{SQUARE}")
    assert file.basis == "required minimum" and codes(file) == {163, 39}
    assert "glare is understated" in file.warnings[0].sentence


def test_an_unsaid_basis_counts_as_the_least() -> None:
    file = read(SQUARE)
    assert file.basis == "required minimum" and codes(file) == {150, 39}
    assert "does not say whether" in file.warnings[0].sentence


@pytest.mark.parametrize(
    ("said", "header", "basis", "first", "warns"),
    [
        ("", "point,measured [cd]", "measured", 10, False),
        ("", "point,min [cd]", "required minimum", 10, False),
        ("", "point,minimum,measured", "measured", 99, True),
        ("", "point,measured,minimum", "measured", 10, True),
        ("# basis: required minimum\n", "point,measured,minimum", "required minimum", 99, True),
        ("# basis: required minimum\n", "point,cd", "required minimum", 10, False),
        ("# basis: measured\n", "point,minimum,cd", "measured", 99, True),
        ("", "point,measured,maximum", "measured", 10, False),
    ],
)
def test_measured_beside_required(said: str, header: str, basis: str, first: float, warns: bool) -> None:
    rows = SQUARE.replace("10\n", "10,99\n") if header.count(",") == 2 else SQUARE
    rows = "\n".join(row if row.count(",") == header.count(",") else f"{row},7" for row in rows.split())
    file = read(f"{said}{header}\n{rows}\n")
    assert (file.basis, file.points[0].candela, 162 in codes(file)) == (basis, first, warns)


def test_comment_lines_become_keywords() -> None:
    head = (
        "# basis: measured\n# Laboratory: Own bench, room 2\n# date: 2026-01-02\n# lamp: One\n# source: thought up\n"
        "# status: invented\n# colour: red\n# free words\n# LAMPCAT: 12\n# light source: LED\n# other: a: b\n#\n"
        '"# report: 5, 6",,\n#seal: yes;;\n'
    )
    assert read(head + SQUARE).keywords == (
        ("TESTLAB", "Own bench, room 2"), ("TESTDATE", "2026-01-02"), ("LUMINAIRE", "One"), ("_SOURCE", "thought up"),
        ("_STATUS", "invented"), ("_COLOUR", "red"), ("OTHER", "free words"), ("LAMPCAT", "12"), ("LAMP", "LED"),
        ("OTHER", "a: b"), ("TEST", "5, 6"), ("_SEAL", "yes"),
    )  # fmt: skip


def test_comment_lines_may_follow_the_points() -> None:
    assert read(f"{SQUARE}# basis: measured\n# unit: kcd\n").points[0].candela == 10_000


# numbers


def test_decimal_commas_between_semicolons() -> None:
    file = read(f"{MEASURED}point;cd\n0,57U-3,43R;12,5\n{SQUARE.replace(',', ';')}")
    assert file.points[0] == TestPoint(3.43, 0.57, 12.5) and codes(file) == {19, 39, 157}
    grid = read(f"{MEASURED}x;-2,5;2,5\n1;1,5;2\n-1;3;4\n")
    assert grid.distribution.candela.tolist() == [[3, 1.5], [4, 2]] and 19 in codes(grid)


def test_points_without_a_value_are_left_out() -> None:
    file = read(f"{MEASURED}point,cd\n{SQUARE}10U-V,\nH-V,-\n5U-V,n/a\n")
    assert len(file.points) == 4 and codes(file) == {39, 161}
    grid = read(f"{MEASURED},5L,V,5R\n5U,1,-,3\n5D,4,,6\n")
    assert grid.distribution.candela.tolist() == [[4, 1], [6, 3]] and len(grid.points) == 4  # V has no value at all
    assert read(f"{MEASURED},5L,V,5R\n5U,1,2\n5D,4,5,6\n").distribution.candela[2].tolist() == [6, 0]


def test_equal_repeats_are_told() -> None:
    file = read(f"{MEASURED}{SQUARE}5L-5U,10\n")
    assert len(file.points) == 4 and codes(file) == {39, 155}
    assert next(warning.line for warning in file.warnings if warning.code == 155) == 6


def test_a_dark_table_and_a_little_below_zero() -> None:
    assert 58 in codes(read(f"{MEASURED}5U-5L,0\n5D-5R,0\n5U-V,0\n"))
    file = read(f"{MEASURED}5U-5L,-0.5\n5D-5R,100\nH-V,100\n5U-V,1\n")
    assert 51 in codes(file) and file.points[0].candela == 0.0


FAULTS = [
    (59, "", None, "empty file"),
    (59, "# nothing\n\n", None, "holds no rows"),
    (30, "\x00a" * 90, None, "UTF-16"),
    (59, "%PDF-1", None, "binary"),
    (152, "a,b\n1,2\n", (1, 1), "does not name the columns"),
    (152, "H,cd\n1,2\n", (1, 1), "does not name the columns"),
    (152, "-5,5,10\n", (1, 1), "does not name the columns"),
    (152, "point,remark\nH-V,2\n", (1, 1), "names no column of candela"),
    (152, "point,maximum\nH-V,2\n", (1, 1), "names no column of candela"),
    (152, "H-V,2,3\n", (1, 1), "several columns without their names"),
    (152, "point,cd,kcd\nH-V,2,3\n", (1, 10), "leaves open which column"),
    (152, "point,min,cd\nH-V,2,3\n", (1, 11), "leaves open which column"),
    (152, "H,H,V,cd\n1,1,1,1\n", (1, 3), "is named twice"),
    (160, "# basis: guessed\n" + SQUARE, (1, 1), "is not a basis"),
    (160, "# basis: measured\n# x\n# basis: required\n" + SQUARE, (3, 1), "is stated twice"),
    (160, "# basis: measured\npoint,minimum\nH-V,1\n", (2, 1), "has no column of measured values"),
    (151, "# unit: fc\n" + SQUARE, (1, 1), "is not a unit"),
    (151, "# unit: lx\n" + SQUARE, (1, 1), "is not a unit"),
    (151, "point,E [lx]\n" + SQUARE, None, "no stated distance"),
    (151, "point,I [mcd]\n" + SQUARE, (1, 7), "names no unit"),
    (151, "# unit: cd\npoint,I [kcd]\n" + SQUARE, None, "is not the kcd of the header"),
    (151, "H [rad],V,cd\n1,2,3\n", (1, 1), "is not in degrees"),
    (151, "V,H (left +),cd\n1,2,3\n", (1, 3), "is not in degrees"),
    (54, "# unit: mW/sr\n" + SQUARE, (1, 1), "radiant"),
    (46, "# type: C\n" + SQUARE, (1, 1), "is not a photometric type"),
    (153, "point,cd\nH-V,1\n  10U-5X,1\n", (3, 3), "is not a test point"),
    (153, "point,cd\n,1\n", (2, 1), "is not a test point"),
    (153, "H,V,cd\n5U,1,1\n", (2, 1), "is not an angle"),
    (153, ",5L,5R\n5U,1,2\nx,1,2\n", (3, 1), "is not an angle"),
    (153, "H,V,cd\nnan,1,1\n", (2, 1), "is not an angle"),
    (154, "point,cd\n91U-5L,1\n", (2, 1), "leaves the range"),
    (154, "H,V,cd\n1,-90.1,1\n", (2, 3), "leaves the range"),
    (154, ",100L,5R\n5U,1,2\n", (1, 2), "leaves the range"),
    (154, "H,V,cd\n1e400,1,1\n", (2, 1), "leaves the range"),
    (22, "point,cd\nH-V,nan\n", (2, 5), "is not a number"),
    (22, "point,cd\nH-V,0x10\n", (2, 5), "is not a number"),
    (22, "point,cd\nH-V,1_000\n", (2, 5), "is not a number"),
    (22, 'a,point,cd\n"x, y",H-V,inf\n', (2, 12), "is not a number"),
    (22, "x,5L,5R\n5U,1,2\n5D,1,nan\n", (3, 6), "is not a number"),
    (22, "x,5L,5R\n5U,1,2\n5D,1,1e\n", (3, 6), "is not a number"),
    (22, "point,cd\nH-V,1e400\n5U-5L,1\n5D-V,1\n", (2, 5), "are too large"),
    (19, 'point,cd\nH-V,"12,5"\n', (2, 5), "decimal comma between commas"),
    (19, "point;cd\nH-V;1,234\n5U-V;0.5\n", (2, 5), "with a point on line 3"),
    (25, "point,cd\nH-V,12,5\n", (2, 8), "has 3 cells"),
    (25, "x,5L,5R\n5U,1,2,3\n", (2, 8), "has 4 cells"),
    (24, "point,cd\n", (1, 1), "too few"),
    (24, "point,cd\nH-V,-\n", (1, 1), "too few"),
    (24, "x,5L,5R\n", (1, 1), "no rows"),
    (24, "x,5L,5R\n5U,,\n5D,-,\n", (1, 1), "no values"),
    (45, "x,5L,-5\n5U,1,2\n", (1, 6), "is listed twice"),
    (45, "x,5L,5R\n5U,1,2\nH,1,2\n5,1,2\n", (4, 1), "is listed twice"),
    (155, "point,cd\nH-V,1\n5U-V,1\nHV,2\n", (4, 4), "for the same point H-V on line 2"),
    (51, "point,cd\nH-V,100\n5U-V,-50\n5U-5L,3\n", (3, 6), "is negative"),
    (158, "point,cd\nH-V,1\n", None, "lie on one line"),
    (158, "point,cd\nH-V,1\nH-5L,2\nH-5R,3\n", None, "lie on one line"),
    (158, "point,cd\nH-V,1\n5U-5L,2\n10U-10L,3\n", None, "lie on one line"),
    (158, "x,5L,5R\n5U,1,2\n", None, "lie on one line"),
    (159, 'point,cd\n"H-V,1\n5U-V,2\n', (2, 1), "quote that does not close"),
    (159, 'point,cd\n"H"-V,1\n', (2, 1), "quote that does not close"),
    (159, 'point,cd\n"' + "\n" * 200 + '",1\n', (2, 1), "quote that does not close"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "text", "place", "words"), FAULTS)
def test_every_fault_has_its_number_and_place(code: int, text: str, place: tuple[int, int] | None, words: str) -> None:
    with pytest.raises(PhotometricError) as caught:
        read(text)
    error = caught.value
    assert error.code == code and words in str(error)
    assert place is None or (error.line, error.column) == place
    assert str(error).startswith("table.csv")


def test_the_place_is_right_after_carriage_returns_and_long_rows() -> None:
    for end in ("\n", "\r\n", "\r"):
        with pytest.raises(PhotometricError, match=r"table.csv:5:10: candela \"x\""):
            read(end.join(('# "', "point,cd,why", 'H-V,1,"a', 'b"', '"5U-5L", x')))


# limits


def test_a_file_that_is_too_large_is_told() -> None:
    with pytest.raises(LimitError):
        read_hv_table(b"#" * 33_000_000)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("H-V,1\n" * 100_002, "are more than 100000"),
        ("H,V,cd\n" + "".join(f"{n / 100},{n / 100},1\n" for n in range(-1500, 1500)), "3000 x 3000 angles"),
        ("H,V,cd\n" + "".join(f"{n / 100},{n / 100},1\n" for n in range(-500, 500)) + "1,0,1\n", "without one"),
        ("x," * 30_000, "more than 20000 cells"),
        ("#x\n" * 10_002, "are more than 10000"),
        (
            ",".join(["x", *(str(n / 3) for n in range(-128, 128))]) + "\n" + ("5," + "1," * 256 + "\n") * 15_700,
            "4 million",
        ),
        ("x,1,2\n" + "".join(f"{n / 1000},1,1\n" for n in range(20_001)), "more than 20000 rows"),
        ("H-V,1\n" + "\n" * 500_001, "more than 500000 lines"),
    ],
)
def test_limits_are_told_before_memory_is_taken(text: str, words: str) -> None:
    with pytest.raises(PhotometricError, match=words) as caught:
        read(text)
    assert caught.value.code == 57


def test_a_large_grid_keeps_its_values_in_the_distribution_alone() -> None:
    angles = [n / 4 for n in range(-160, 161)]
    row = ",".join(str(n % 7) for n in range(len(angles)))
    file = read(MEASURED + ",".join(["", *map(str, angles)]) + "\n" + "".join(f"{v},{row}\n" for v in angles))
    assert file.distribution.candela.shape == (321, 321) and file.points == ()
    assert file.distribution.candela[:, 5].tolist() == [n % 7 for n in range(321)]


# telling the format


@pytest.mark.parametrize(
    "text", [SQUARE, "point,cd\n", "H;V;cd\n", ",5L,5R\n", "# basis: measured\nwhat", "# x\n\nTest point\tI [cd]\n"]
)
def test_a_table_is_recognised(text: str) -> None:
    assert looks_like_hv_table(text.encode())
    assert format_of(text.encode()) == "H-V table"


@pytest.mark.parametrize(
    "text",
    ["IESNA:LM-63-2002\n[TEST] x\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0", "A company, a place\n1\n0\n", "<IESTM33>", "a,b\n",
     "# words\n", '"', "{}", "1,2,3\n", "lamp,cd\n"],
)  # fmt: skip
def test_other_text_is_no_table(text: str) -> None:
    assert not looks_like_hv_table(text.encode())


def test_the_demonstration_lamp() -> None:
    file = read_hv_table((shipped("luminaires") / "warning-red.csv").read_bytes(), "warning-red.csv")
    assert file.basis == "measured" and len(file.points) == 59 and file.text("_STATUS") == "invented"
    assert max(file.points, key=lambda point: point.candela) == TestPoint(0, 0, 748)
    assert codes(file) == {39, 156, 157}


# anything else

VALID = (
    '# basis: measured\n# unit: cd\n# lamp: "One"\npoint,cd,remark\n10U-5L,12.5,"a, b"\nH-V,300,\n5D-5R,20,x\n'
    "5U-V;1,5\n,20L,V,20R\n5U,1,,3\n0.57U-3.43R\t7e1\n"
)
MUTATIONS = st.lists(
    st.tuples(
        st.integers(0, len(VALID)), st.integers(0, 12),
        st.sampled_from(["", ",", ";", "\t", '"', "\n", "\r", "#", "-", "H", "V", "5L", "1e9", "nan", "\x00", "é",
                         "[", ":", "9" * 50]),
    ),
    max_size=8,
)  # fmt: skip


@given(MUTATIONS, st.booleans())
@settings(max_examples=400)
def test_mutated_tables_never_end_in_another_exception(changes: list[tuple[int, int, str]], cut: bool) -> None:
    text = VALID[: VALID.index("5U-V;")] if cut else VALID
    for start, length, put in changes:
        text = text[:start] + put + text[start + length :]
    data = text.encode()
    try:
        file = read_hv_table(data, "t.csv")
    except InputError as error:
        assert "\n" not in str(error)
    else:
        assert np.isfinite(file.distribution.candela).all() and file.basis is not None
    looks_like_hv_table(data)


@given(st.binary(max_size=300))
@settings(max_examples=150)
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    with suppress(InputError):
        read_hv_table(data)
    looks_like_hv_table(data)


def test_rows_keep_a_limit_of_their_own() -> None:
    assert cells.WIDEST_ROW == 20_000 and cells.MOST_COMMENTS == 10_000
