"""Every shape code of every edition, and what is done with a code of another edition or of none."""

from __future__ import annotations

import pytest

from scenelux.photometry.lm63.openings import read_opening

# edition, width, length, height, outline, (along, across, up) and the solid.
ROWS = [
    ("1986", 0, 0, 0, "point", (0, 0, 0), "point"),
    ("1986", 1, 2, 0, "rectangle", (2, 1, 0), "rectangle"),
    ("1986", 1, 2, 3, "rectangle", (2, 1, 3), "box"),
    ("1986", -1, 0, 0, "ellipse", (1, 1, 0), "circle"),
    ("1991", -1, 2, 0, "ellipse", (2, 1, 0), "ellipse"),
    ("1991", -1, 0, 3, "ellipse", (1, 1, 3), "vertical cylinder"),
    ("1991", -1, 2, 3, "ellipse", (2, 1, 3), "ellipsoid"),
    ("1995", -1, 0, 0, "ellipse", (1, 1, 0), "circle"),
    ("1995", -1, 0, 3, "ellipse", (1, 1, 3), "vertical cylinder"),
    ("1995", -1, 2, 3, "ellipse", (2, 1, 3), "vertical elliptic cylinder"),
    ("1995", 1, -2, 3, "ellipse", (2, 1, 3), "vertical elliptic cylinder"),
    ("1995", -1, 0, -1, "ellipse", (1, 1, 1), "sphere"),
    ("1995", -1, 2, -3, "ellipse", (2, 1, 3), "ellipsoid"),
    ("1995", 1, -2, -3, "ellipse", (2, 1, 3), "ellipsoid"),
    ("1995", 0, 2, -1, "rectangle", (2, 1, 1), "horizontal cylinder along"),
    ("1995", 2, 0, -1, "rectangle", (1, 2, 1), "horizontal cylinder across"),
    ("2002", -1, -1, 0, "ellipse", (1, 1, 0), "circle"),
    ("2002", -1, -2, 0, "ellipse", (2, 1, 0), "ellipse"),
    ("2002", -1, -1, 3, "ellipse", (1, 1, 3), "vertical elliptic cylinder"),
    ("2002", -1, -1, -1, "ellipse", (1, 1, 1), "ellipsoid"),
    ("2002", -1, 2, -1, "rectangle", (2, 1, 1), "horizontal cylinder along"),
    ("2002", 2, -1, -1, "rectangle", (1, 2, 1), "horizontal cylinder across"),
    ("2002", -1, 0, -3, "ellipse", (0, 1, 3), "upright ellipse"),
    ("2019", 1, 0, 3, "rectangle", (0, 1, 3), "upright rectangle"),
    ("2019", 0, 2, 3, "rectangle", (2, 0, 3), "upright rectangle"),
]


@pytest.mark.parametrize("row", ROWS, ids=str)
def test_codes_of_the_own_edition(row: tuple) -> None:
    edition, width, length, height, shape, size, solid = row
    opening, sentence = read_opening(edition, width, length, height, 1.0)
    assert (opening.shape, opening.size_m, opening.solid, sentence) == (shape, size, solid, "")


def test_clashes_are_decided_by_the_edition() -> None:
    assert read_opening("1995", -1, 0, -1, 1.0)[0].solid == "sphere"
    assert read_opening("2002", -1, 0, -1, 1.0)[0].solid == "upright ellipse"
    assert read_opening("1995", -1, 2, -3, 1.0)[0].solid == "ellipsoid"
    assert read_opening("2002", -1, 2, -3, 1.0)[0].solid == "horizontal cylinder along"


def test_a_code_of_another_edition_is_told() -> None:
    opening, sentence = read_opening("2002", -1, 0, 0, 0.3048)
    assert opening.solid == "circle" and opening.length_m == pytest.approx(0.3048) and "1986" in sentence
    opening, sentence = read_opening("1995", -1, -2, 0, 1.0)
    assert opening.solid == "ellipse" and "2002" in sentence


def test_a_code_of_none_is_a_box_of_the_absolute_sizes() -> None:
    opening, sentence = read_opening("2002", 0, -2, 3, 1.0)
    assert (opening.shape, opening.size_m, opening.solid) == (
        "rectangle",
        (2, 0, 3),
        "box",
    ) and "no edition" in sentence
