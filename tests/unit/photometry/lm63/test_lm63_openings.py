"""Every shape code of every edition, and what is done with a code of another edition or of none."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from scenelux.photometry import read_lm63
from scenelux.photometry.lm63.openings import read_opening

OLD, MIDDLE, NEW = ("1986", "1991"), ("1995",), ("2002", "2019")
EVERY = OLD + MIDDLE + NEW

# editions, (width, length, height) as in the file, outline, (along, across, up) and the solid.
TABLE: list[tuple[tuple[str, ...], tuple[float, ...], str, tuple[float, ...], str]] = [
    (EVERY, (0, 0, 0), "point", (0, 0, 0), "point"),
    (EVERY, (1, 2, 0), "rectangle", (2, 1, 0), "rectangle"),
    (EVERY, (2, 1, 0), "rectangle", (1, 2, 0), "rectangle"),
    (EVERY, (1, 2, 3), "rectangle", (2, 1, 3), "box"),
    (OLD + MIDDLE, (-1, 0, 0), "ellipse", (1, 1, 0), "circle"),
    (NEW, (-1, -1, 0), "ellipse", (1, 1, 0), "circle"),
    (OLD, (-1, 2, 0), "ellipse", (2, 1, 0), "ellipse"),
    (NEW, (-1, -2, 0), "ellipse", (2, 1, 0), "ellipse"),
    (OLD + MIDDLE, (-1, 0, 3), "ellipse", (1, 1, 3), "vertical cylinder"),
    (NEW, (-1, -1, 3), "ellipse", (1, 1, 3), "vertical cylinder"),
    (MIDDLE, (-1, 2, 3), "ellipse", (2, 1, 3), "vertical elliptic cylinder"),
    (MIDDLE, (1, -2, 3), "ellipse", (2, 1, 3), "vertical elliptic cylinder"),
    (NEW, (-1, -2, 3), "ellipse", (2, 1, 3), "vertical elliptic cylinder"),
    (MIDDLE, (-1, 0, -1), "ellipse", (1, 1, 1), "sphere"),
    (NEW, (-1, -1, -1), "ellipse", (1, 1, 1), "sphere"),
    (OLD, (-1, 2, 3), "ellipse", (2, 1, 3), "ellipsoid"),
    (MIDDLE, (-1, 2, -3), "ellipse", (2, 1, 3), "ellipsoid"),
    (MIDDLE, (1, -2, -3), "ellipse", (2, 1, 3), "ellipsoid"),
    (NEW, (-1, -2, -3), "ellipse", (2, 1, 3), "ellipsoid"),
    (MIDDLE, (0, 2, -1), "rectangle", (2, 1, 1), "horizontal cylinder along"),
    (NEW, (-1, 2, -1), "rectangle", (2, 1, 1), "horizontal cylinder along"),
    (NEW, (-1, 2, -3), "rectangle", (2, 1, 3), "horizontal cylinder along"),
    (MIDDLE, (2, 0, -1), "rectangle", (1, 2, 1), "horizontal cylinder across"),
    (NEW, (2, -1, -1), "rectangle", (1, 2, 1), "horizontal cylinder across"),
    (NEW, (2, -1, -3), "rectangle", (1, 2, 3), "horizontal cylinder across"),
    (NEW, (-1, 0, -1), "ellipse", (0, 1, 1), "upright ellipse"),
    (NEW, (-1, 0, -3), "ellipse", (0, 1, 3), "upright ellipse"),
    (EVERY, (1, 0, 3), "rectangle", (0, 1, 3), "upright rectangle"),
    (EVERY, (0, 2, 3), "rectangle", (2, 0, 3), "upright rectangle"),
]
ROWS = [(edition, *row[1:]) for row in TABLE for edition in row[0]]


@pytest.mark.parametrize(
    ("edition", "code", "shape", "size", "solid"), ROWS, ids=[f"{row[0]} {row[4]} {row[1]}" for row in ROWS]
)
def test_codes_of_the_own_edition(
    edition: str, code: tuple[float, ...], shape: str, size: tuple[float, ...], solid: str
) -> None:
    opening, sentence = read_opening(edition, *code, 1.0)
    assert (opening.shape, opening.size_m, opening.solid, sentence) == (shape, size, solid, "")
    in_feet, _ = read_opening(edition, *code, 0.3048)
    assert in_feet.size_m == pytest.approx([0.3048 * one for one in size])


@pytest.mark.parametrize(
    ("code", "of_1986", "of_1995", "of_2002"),
    [
        ((-1, 0, -1), "sphere", "sphere", "upright ellipse"),
        ((-1, 2, -3), "ellipsoid", "ellipsoid", "horizontal cylinder along"),
        ((1, -2, -3), "ellipsoid", "ellipsoid", "horizontal cylinder across"),
        ((-1, 2, 3), "ellipsoid", "vertical elliptic cylinder", "vertical elliptic cylinder"),
    ],
)
def test_clashes_are_decided_by_the_edition(code: tuple[float, ...], of_1986: str, of_1995: str, of_2002: str) -> None:
    """What an edition does not know is read as in the edition nearest in time."""
    found = [read_opening(edition, *code, 1.0)[0].solid for edition in ("1986", "1995", "2002")]
    assert found == [of_1986, of_1995, of_2002]


@pytest.mark.parametrize(
    ("edition", "code", "solid", "year"),
    [
        ("2002", (-1, 0, 0), "circle", "1995"),
        ("2019", (-1, 0, 3), "vertical cylinder", "1995"),
        ("2002", (-1, 2, 0), "ellipse", "1991"),
        ("2002", (1, -2, 3), "vertical elliptic cylinder", "1995"),
        ("2002", (0, 2, -1), "horizontal cylinder along", "1995"),
        ("1995", (-1, -1, 0), "circle", "2002"),
        ("1995", (-1, 2, 0), "ellipse", "1991"),
        ("1995", (-1, 0, -3), "upright ellipse", "2002"),
        ("1986", (-1, -1, 0), "circle", "2002"),
        ("1991", (-1, -1, -1), "sphere", "2002"),
        ("1986", (2, 0, -1), "horizontal cylinder across", "1995"),
    ],
)
def test_a_code_of_another_edition_is_told(edition: str, code: tuple[float, ...], solid: str, year: str) -> None:
    opening, sentence = read_opening(edition, *code, 1.0)
    assert opening.solid == solid
    assert sentence == f"the shape of the opening is a code of the edition of {year}, read as {solid}"


@pytest.mark.parametrize("code", [(0, -2, 3), (0, -2, 0), (0, 2, 0), (1, 0, 0), (0, 0, 3), (0, 0, -3), (1, 2, -3)])
@pytest.mark.parametrize("edition", EVERY)
def test_a_code_of_none_is_a_box_of_the_absolute_sizes(edition: str, code: tuple[float, ...]) -> None:
    opening, sentence = read_opening(edition, *code, 1.0)
    width, length, height = map(abs, code)
    assert (opening.shape, opening.size_m, opening.solid) == ("rectangle", (length, width, height), "box")
    assert "in no edition" in sentence


def test_50_a_file_tells_of_a_code_of_another_edition_in_its_line(lm63: Callable[..., bytes]) -> None:
    file = read_lm63(lm63(sizes="-0.2 0 0", units="1"))
    assert [(one.code, one.line) for one in file.warnings] == [(50, 7)]
    assert file.opening.size_m == pytest.approx((0.06096, 0.06096, 0)) and file.opening.solid == "circle"


def test_48_a_size_without_a_unit_is_no_size(lm63: Callable[..., bytes]) -> None:
    file = read_lm63(lm63(sizes="2 1 0", units="0"))
    assert [(one.code, one.line) for one in file.warnings] == [(48, 7)]
    assert file.opening.size_m == (0, 0, 0)


def test_an_opening_larger_than_any_lamp_is_told(lm63: Callable[..., bytes]) -> None:
    file = read_lm63(lm63(sizes="600 300 0"))
    assert [(one.code, one.line) for one in file.warnings] == [(105, 7)] and "300" not in file.warnings[0].sentence
    assert file.opening.size_m == (300, 600, 0)
