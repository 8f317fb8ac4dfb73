"""The sheet of a luminaire: what it says, and that no text covers another."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from scenelux.colour import lamp_colour
from scenelux.photometry import (
    CosinePower,
    EllipticalGaussian,
    IntensityDistribution,
    Orientation,
    Summary,
    default_orientation,
    sample,
    summarise,
)
from scenelux.pictures.luminaire import luminaire_sheet
from scenelux.pictures.luminaire_facts import Identity, fact_rows
from scenelux.pictures.sheet import Sheet, png_bytes
from scenelux.pictures.text import Line

ME = Identity(
    "lamp-1",
    "A lamp with a long name, for the shoulder of the road",
    "flood",
    lamp_colour("white 5000 K"),
    "fitted from one figure",
    "Demonstration data",
    "invented",
    38.0,
)


def lamp(which: str, tilt_deg: float = -35.0) -> Summary:
    if which == "bare":
        one = IntensityDistribution("C", [0, 120, 360], [0, 60, 180], [[100, 80, 60], [50, 90, 60], [100, 80, 60]])
    elif which == "dark":
        one = IntensityDistribution("C", [0, 360], [0, 180], np.zeros((2, 2)))
    elif which == "type a":
        one = IntensityDistribution("A", [-90, -10, 0, 10, 90], [-90, -5, 0, 5, 90], np.pad(np.full((3, 3), 900.0), 1))
    else:
        beams = {
            "round": CosinePower(4200, 60),
            "cut": EllipticalGaussian(100, 60, 20, -2),
            "narrow": CosinePower(9000, 2),
        }
        one = sample(beams[which])
    return summarise(one, default_orientation(one.photometric_type), tilt_deg=tilt_deg)


def visible_texts(sheet: Figure) -> list[Text]:
    sheet.canvas.draw()
    return [text for text in sheet.findobj(Text) if text.get_visible() and text.get_text().strip()]


def plain(sheet: Sheet) -> list[Line]:
    return [line for line in sheet.writing.lines if line.text.strip()]


@pytest.mark.parametrize("which", ["round", "cut", "narrow", "bare", "dark", "type a"])
def test_no_text_covers_another_or_leaves_the_sheet(which: str) -> None:
    sheet = luminaire_sheet(ME, lamp(which))
    boxes = [(text.get_text(), text.get_window_extent()) for text in visible_texts(sheet)]
    boxes += [(line.text, Bbox.from_extents(*(sheet.dpi * edge for edge in line.extent_in))) for line in plain(sheet)]
    whole = sheet.bbox
    for words, box in boxes:
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= whole.x1 + 1 and box.y1 <= whole.y1 + 1, words
    for (one, a), (other, b) in combinations(boxes, 2):
        across = min(a.x1, b.x1) - max(a.x0, b.x0)
        up = min(a.y1, b.y1) - max(a.y0, b.y0)
        assert across <= 2 or up <= 3.5, f"{one!r} covers {other!r}"


def test_the_sheet_says_what_it_shows() -> None:
    sheet = luminaire_sheet(ME, lamp("round"))
    words = " ".join([text.get_text() for text in visible_texts(sheet)] + [line.text for line in plain(sheet)])
    for part in (
        "INVENTED DEMONSTRATION DATA",
        "fitted from one figure",
        "Polar diagram",
        "H-V diagram",
        "γ 0 of the data",
        "tilted 35° down",
        "CAUTION",
        "C 90",
        "4200 lm",
    ):
        assert part in words


def test_the_data_s_own_directions_turn_with_the_mounting() -> None:
    lamp_b = lamp("type a").distribution
    rolled = summarise(lamp_b, Orientation((1.0, 0.0, 0.0), (0.0, -1.0, 0.0)))  # H +90 goes up
    texts = {text.get_text(): text.get_position() for text in visible_texts(luminaire_sheet(ME, rolled))}
    assert texts["H +90"][1] > 0.9 and abs(texts["H +90"][0]) < 0.1
    assert texts["V +90"][0] < -0.9


def test_the_same_lamp_gives_the_same_bytes() -> None:
    assert png_bytes(luminaire_sheet(ME, lamp("cut"))) == png_bytes(luminaire_sheet(ME, lamp("cut")))


def test_facts_in_words() -> None:
    rows = dict(fact_rows(ME, lamp("round")))
    assert rows["flux"] == "4200 lm, 38 W, 111 lm/W"
    assert rows["beam angle"].startswith("60.0 deg across, 60.0 deg up")
    assert rows["opening"] == "a point"
    assert rows["file"].startswith("stated beam, type C")
    assert dict(fact_rows(ME, lamp("cut")))["beam angle"].startswith("none across")
    assert dict(fact_rows(ME, lamp("dark")))["upward light"].startswith("0 lm (0.0 %)")


def test_many_warnings_do_not_run_into_the_foot() -> None:
    from dataclasses import replace

    from scenelux.photometry import FileWarning, read_lm63, write_lm63

    one = lamp("round")
    file = read_lm63(write_lm63(one.distribution, []))
    warnings = tuple(FileWarning(n, n, "something odd about this file " * 3) for n in range(30))
    noisy = replace(one, file=replace(file, warnings=warnings))
    assert any("more at the terminal" in line.text for line in plain(luminaire_sheet(ME, noisy)))
