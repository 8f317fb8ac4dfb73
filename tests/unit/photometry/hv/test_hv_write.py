"""H-V tables as written: they read back with the same points, values, keywords and basis."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import LimitError, UsageError
from scenelux.photometry import IntensityDistribution, TestPoint
from scenelux.photometry.hv.read import read_hv_table
from scenelux.photometry.hv.write import write_hv_table
from scenelux.shipped import shipped

ANGLES = st.floats(-90, 90).map(lambda angle: round(angle, 6) + 0.0)
CANDELA = st.one_of(st.just(0.0), st.floats(1e-6, 1e8))
POINTS = st.lists(st.builds(TestPoint, ANGLES, ANGLES, CANDELA), min_size=1, max_size=9,
                  unique_by=lambda point: (point.h_deg, point.v_deg))  # fmt: skip
CORNERS = [TestPoint(-90.0, -90.0, 1.0), TestPoint(90.0, -90.0, 2.0), TestPoint(-90.0, 90.0, 3.0)]


@given(POINTS, st.sampled_from(["measured", "required minimum"]))
@settings(max_examples=80)
def test_points_read_back_exactly(points: list[TestPoint], basis: str) -> None:
    listed = [point for point in points if abs(point.h_deg) < 90 or abs(point.v_deg) < 90] + CORNERS
    file = read_hv_table(write_hv_table(listed, basis=basis))
    assert (file.points, file.basis) == (tuple(listed), basis)


def test_the_demonstration_lamp_comes_back_whole() -> None:
    file = read_hv_table((shipped("luminaires") / "warning-red.csv").read_bytes())
    written = write_hv_table(file)
    back = read_hv_table(written)
    assert (back.points, back.keywords, back.basis) == (file.points, file.keywords, "measured")
    assert np.array_equal(back.distribution.candela, file.distribution.candela)
    assert [warning.code for warning in back.warnings] == [warning.code for warning in file.warnings]
    assert write_hv_table(back) == written


@pytest.mark.parametrize("kind", ["A", "B"])
def test_a_distribution_lists_its_nodes(kind: str) -> None:
    lamp = IntensityDistribution(kind, [-90, -2.5, 20], [-1, 0, 3.75], np.arange(9.0).reshape(3, 3) ** 2.5)
    written = write_hv_table(lamp, basis="measured")
    back = read_hv_table(written).distribution
    assert back.photometric_type == kind and np.array_equal(back.candela, lamp.candela)
    assert np.array_equal(back.horizontal_deg, lamp.horizontal_deg)
    assert np.array_equal(back.vertical_deg, lamp.vertical_deg)
    assert written.split(b"\r\n")[3].split(b",")[0] == b"3.75U-90L"  # the upper left corner comes first


def test_a_file_without_points_lists_its_nodes() -> None:
    angles = [n / 4 for n in range(-100, 101)]
    text = ",".join(["", *map(str, angles)]) + "\n" + "".join(f"{v},{'3,' * 201}\n" for v in angles[:2])
    small = read_hv_table(b"# basis: measured\n" + text.encode())
    assert len(small.points) == 402
    assert read_hv_table(write_hv_table(small.distribution, basis="measured")).distribution.candela.shape == (201, 2)


def test_a_required_minimum_keeps_its_mark() -> None:
    file = read_hv_table(b"# basis: required minimum\n# type: B\n5U-V,1\nH-5L,2\nH-5R,3\n")
    written = write_hv_table(file)
    assert written.startswith(b"# basis: required minimum\r\n# type: B\r\n")
    assert read_hv_table(written).basis == "required minimum"


def test_an_unknown_basis_stays_unsaid() -> None:
    written = write_hv_table(CORNERS)
    assert b"basis" not in written
    assert 150 in [warning.code for warning in read_hv_table(written).warnings]


def test_keywords_of_other_formats() -> None:
    keywords = [
        ("TEST", "1-2"), ("TESTLAB", "Own, room 2"), ("MORE", "and more"), ("MANUFAC", "m"), ("LUMCAT", "c"),
        ("ISSUEDATE", "2026"), ("LAMP", "LED"), ("LAMPCAT", "x"), ("OTHER", "a: b"), ("OTHER", "c"), ("_OWN_KEY", "é"),
        ("", "free\r\ntext"), ("_BASIS", "measured"),
    ]  # fmt: skip
    file = read_hv_table(write_hv_table(CORNERS, keywords=keywords))
    assert file.keywords == (
        ("TEST", "1-2"), ("TESTLAB", "Own, room 2 and more"), ("MANUFAC", "m"), ("LUMCAT", "c"), ("ISSUEDATE", "2026"),
        ("LAMP", "LED"), ("LAMPCAT", "x"), ("OTHER", "a: b"), ("OTHER", "c"), ("_OWN_KEY", "é"), ("OTHER", "free text"),
    )  # fmt: skip
    assert file.basis == "required minimum"  # a keyword is no statement of the table


@given(st.lists(st.tuples(st.text(max_size=12), st.text(max_size=30)), max_size=4))
@settings(max_examples=100)
def test_no_keyword_spoils_the_table(keywords: list[tuple[str, str]]) -> None:
    file = read_hv_table(write_hv_table(CORNERS, basis="measured", keywords=keywords))
    assert (file.points, file.basis) == (tuple(CORNERS), "measured")


def test_what_cannot_be_listed_is_refused() -> None:
    with pytest.raises(UsageError, match="type C"):
        write_hv_table(IntensityDistribution("C", [0, 360], [0, 90], np.ones((2, 2))))
    with pytest.raises(LimitError, match="160000 nodes"):
        write_hv_table(
            IntensityDistribution("A", np.linspace(-9, 9, 400), np.linspace(-9, 9, 400), np.ones((400, 400)))
        )
