"""The chart of test points: every value stands beside its mark, nothing covers anything, the mark tells the basis."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from matplotlib.lines import Line2D

from scenelux.errors import UsageError
from scenelux.photometry import TestPoint
from scenelux.photometry.hv.read import read_hv_table
from scenelux.pictures.hv_points import MOST_LABELLED, draw_points
from scenelux.pictures.sheet import Box, Sheet, png_bytes
from scenelux.shipped import shipped
from scenelux.units import figure

BOX = Box(0.95, 3.76, 3.1, 3.1)
CROSS = [TestPoint(-10, 0, 5), TestPoint(10, 0, 7), TestPoint(0, 5, 123), TestPoint(0, -5, 1000), TestPoint(0, 0, 2000)]
HEADLAMP = [
    (-8, 4, 64), (8, 4, 64), (-4, 2, 135), (1, 1.5, 1400), (-1.5, 0.5, 1000), (1, 0.5, 2700), (-8, 0, 64), (-4, 0, 135),
    (1.3, -0.6, 10_000), (-3.5, -0.86, 12_000), (0, -0.86, 4500), (2, -1.5, 15_000), (-15, -2, 1000), (-9, -2, 1250),
    (9, -2, 1250), (15, -2, 1000), (4, -4, 12_500), (-20, -4, 300), (20, -4, 300), (0, -4, 7000), (3.43, 0.57, 1234.5),
]  # fmt: skip


def drawn(points: object, basis: str | None = None, box: Box = BOX) -> Sheet:
    sheet = Sheet()
    draw_points(sheet, box, points, basis)
    return sheet


def marks(sheet: Sheet) -> list[Line2D]:
    return [line for line in sheet.findobj(Line2D) if line.get_marker() not in ("None", None, "")]


def texts(sheet: Sheet) -> list[str]:
    return [line.text for line in sheet.writing.lines]


def random_points(count: int) -> list[TestPoint]:
    rng = np.random.default_rng(7)
    return [TestPoint(round(rng.uniform(-60, 60), 1), round(rng.uniform(-10, 10), 1), 10 ** rng.uniform(0, 5))
            for _ in range(count)]  # fmt: skip


def red() -> object:
    return read_hv_table((shipped("luminaires") / "warning-red.csv").read_bytes())


@pytest.mark.parametrize("points", [CROSS, [TestPoint(*one) for one in HEADLAMP], red().points, random_points(40)])
@pytest.mark.parametrize("box", [BOX, Box(0.95, 3.76, 2.4, 2.4)])
def test_no_text_covers_another(points: list[TestPoint], box: Box) -> None:
    extents = [(line.text, line.extent_in) for line in drawn(points, "measured", box).writing.lines]
    for (text, a), (other, b) in combinations(extents, 2):
        clear = a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]
        narrow = min(a[2], b[2]) - max(a[0], b[0]) < 0.03 or min(a[3], b[3]) - max(a[1], b[1]) < 0.03
        assert clear or narrow, (text, other)


@pytest.mark.parametrize("points", [CROSS, [TestPoint(*one) for one in HEADLAMP], red().points])
def test_every_value_is_written_beside_its_mark(points: list[TestPoint]) -> None:
    sheet = drawn(points, "measured")
    assert sorted(text for text in texts(sheet) if text in {figure(point.candela) for point in points}) == sorted(
        figure(point.candela) for point in points
    )
    (line,) = [line for line in marks(sheet) if line.axes is not None]
    for point, x, y in zip(points, BOX.left + line.get_xdata(), BOX.bottom + line.get_ydata(), strict=True):
        near = []
        for written in sheet.writing.lines:
            left, bottom, right, top = written.extent_in
            if written.text == figure(point.candela):
                near.append(max(left - x, x - right, 0) ** 2 + max(bottom - y, y - top, 0) ** 2)
        assert min(near) < 0.15**2


def test_right_is_right_and_up_is_up() -> None:
    (line,) = [line for line in marks(drawn(CROSS, "measured")) if line.axes is not None]
    x, y = np.array(line.get_xdata()), np.array(line.get_ydata())
    assert x[0] < x[4] < x[1] and y[3] < y[4] < y[2]
    assert x[4] == pytest.approx((x[0] + x[1]) / 2) and x[2] == x[3] == x[4]


def test_uncrowded_angles_are_to_scale() -> None:
    points = [TestPoint(-40, 0, 1), TestPoint(-10, 10, 1), TestPoint(20, 40, 1)]
    (line,) = [line for line in marks(drawn(points, "measured")) if line.axes is not None]
    x, y = np.array(line.get_xdata()), np.array(line.get_ydata())
    assert x[1] - x[0] == pytest.approx(x[2] - x[1], rel=1e-6)
    assert (y[2] - y[1]) / (y[1] - y[0]) == pytest.approx(3, rel=1e-6)
    assert not any("drawn apart" in text for text in texts(drawn(points, "measured")))
    assert any("drawn apart" in text for text in texts(drawn([TestPoint(*one) for one in HEADLAMP], "measured")))


@pytest.mark.parametrize(("basis", "marker", "face"), [("measured", "o", "black"), ("required minimum", "s", "white")])
def test_the_mark_tells_the_basis(basis: str, marker: str, face: str) -> None:
    sheet = drawn(CROSS, basis)
    assert f"Test points, listed as {basis} [cd]" in texts(sheet)
    assert {(line.get_marker(), line.get_markerfacecolor()) for line in marks(sheet)} == {(marker, face)}
    assert any("a lamp may give more" in text for text in texts(sheet)) == (basis == "required minimum")


def test_thin_lines_stop_before_values_and_marks() -> None:
    sheet = drawn(red())
    values = {figure(point.candela) for point in red().points}
    (axes,) = sheet.axes
    white = [patch.get_bbox() for patch in axes.patches if patch.get_zorder() == 2]
    lines = [line for line in axes.lines if line.get_zorder() == 1]
    assert lines and all(line.get_zorder() < 2 for line in lines)
    for line in sheet.writing.lines:
        left, bottom, right, top = line.extent_in
        x, y = (left + right) / 2 - BOX.left, (bottom + top) / 2 - BOX.bottom
        if line.text in values:
            assert any(box.x0 < x < box.x1 and box.y0 < y < box.y1 for box in white), line.text
    assert len(white) >= 2 * len(red().points)  # the marks too


def test_a_file_brings_its_basis() -> None:
    assert "Test points, listed as measured, type A [cd]" in texts(drawn(red()))


def test_many_points_are_marks_only() -> None:
    points = random_points(MOST_LABELLED + 1)
    sheet = drawn(points, "measured")
    assert any(f"{MOST_LABELLED + 1} points" in text and "values in the table" in text for text in texts(sheet))
    assert len(texts(sheet)) < 50
    assert len(texts(drawn(points[:-1], "measured"))) > MOST_LABELLED


def test_values_without_room_are_counted() -> None:
    points = [TestPoint(h, v, 10_000 + h) for h in range(8) for v in range(8)]
    found = texts(drawn(points, "measured", Box(0.95, 3.76, 2.2, 1.2)))
    count = int(next(text for text in found if "values without room" in text).split("; ")[2].split()[0])
    assert 0 < count == 64 - sum(text.startswith("1000") for text in found)


def test_one_point_and_one_row_are_drawn() -> None:
    assert "5" in texts(drawn([TestPoint(3, 0, 5)], "measured"))
    assert "123" in texts(drawn([TestPoint(3, 0, 5), TestPoint(9, 0, 123)], "required minimum"))


def test_points_without_a_basis_are_refused() -> None:
    with pytest.raises(UsageError, match="measured nor required"):
        drawn(CROSS)
    with pytest.raises(UsageError, match="are none"):
        drawn([], "measured")


def test_the_same_points_give_the_same_bytes() -> None:
    assert png_bytes(drawn(CROSS, "measured")) == png_bytes(drawn(CROSS, "measured"))
