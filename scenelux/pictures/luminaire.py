"""The sheet of a luminaire: its intensity in three diagrams, how it sits on a truck, and its figures."""

from __future__ import annotations

from matplotlib.lines import Line2D

from scenelux.photometry import Summary
from scenelux.pictures.hv_points import draw_points
from scenelux.pictures.luminaire_curves import draw_curves, draw_polar
from scenelux.pictures.luminaire_diagrams import draw_hv
from scenelux.pictures.luminaire_facts import Identity, fact_rows
from scenelux.pictures.luminaire_mounting import draw_face, draw_truck
from scenelux.pictures.sheet import GREY, HEIGHT_IN, MARGIN_IN, WIDTH_IN, Box, Sheet, draw_badge, put
from scenelux.pictures.text import fit, text_width_in, wrap
from scenelux.sources import CAUTIONS

__all__ = ["luminaire_sheet", "points_sheet"]

_FACT_PT, _FACT_GAP_IN = (7.0, 6.6, 6.2, 5.8), 0.022


def luminaire_sheet(identity: Identity, summary: Summary) -> Sheet:
    """One sheet on one luminaire.

    Parameters
    ----------
    identity : what it is called and where its data come from.
    summary : its figures; its tilt is that of the drawing on the truck.
    """
    sheet = Sheet()
    _head(sheet, identity, summary)
    _foot(sheet, identity)
    draw_curves(sheet, Box(0.9, 3.98, 2.45, 2.88), summary)
    draw_polar(sheet, Box(3.7, 4.5, 1.3, 2.2), summary)
    draw_hv(sheet, Box(5.55, 3.76, 3.1, 3.1), summary)
    draw_truck(sheet, Box(0.4, 1.32, 3.9, 1.6), summary, at_front=identity.kind == "headlamp")
    draw_face(sheet, Box(4.5, 1.32, 1.75, 1.6), summary)
    _facts(sheet, Box(6.55, 0.86, WIDTH_IN - MARGIN_IN - 6.55, 2.36), identity, summary)
    return sheet


def points_sheet(identity: Identity, summary: Summary) -> Sheet:
    """One sheet with the test points of a luminaire.

    Parameters
    ----------
    identity : what it is called and where its data come from.
    summary : of a file with points.
    """
    sheet = Sheet()
    _head(sheet, identity, summary)
    _foot(sheet, identity)
    if summary.file is not None:
        draw_points(sheet, Box(1.2, 1.6, WIDTH_IN - 2.4, 5.1), summary.file)
    return sheet


def _head(sheet: Sheet, identity: Identity, summary: Summary) -> None:
    top, right = HEIGHT_IN - 0.3, WIDTH_IN - MARGIN_IN
    badge = "INVENTED DEMONSTRATION DATA" if identity.status == "invented" else "PROJECT DATA"
    room = right - MARGIN_IN - text_width_in(badge, 8, True) - 0.5
    put(sheet, MARGIN_IN, top, fit(identity.title, room, 13, True), 13, bold=True)
    put(sheet, MARGIN_IN, top - 0.28, fit(f"{identity.name} · luminous intensity", room, 10.5, True), 10.5, bold=True)
    draw_badge(sheet, right, top, badge)
    put(sheet, right, top - 0.28, f"Lamp data: {identity.data_words(summary.file)}", 7, ha="right")
    text = "Initial light at full output. Angles are those of the lamp as it hangs; directions as seen along its beam."
    put(sheet, MARGIN_IN, top - 0.5, text, 7.5, color=GREY)


def _foot(sheet: Sheet, identity: Identity) -> None:
    width, y = WIDTH_IN - 2 * MARGIN_IN, 0.82
    ends = (MARGIN_IN / WIDTH_IN, 1 - MARGIN_IN / WIDTH_IN)
    sheet.add_artist(Line2D(ends, (y / HEIGHT_IN,) * 2, color=GREY, lw=0.6))
    source = f"Data: {identity.origin}"
    put(sheet, MARGIN_IN, y - 0.06, fit(source, width, 6), 6, color=GREY)
    for number, line in enumerate(wrap("CAUTION: " + " ".join(CAUTIONS), width, 6)):
        put(sheet, MARGIN_IN, y - 0.19 - 0.115 * number, line, 6)


def _facts(sheet: Sheet, box: Box, identity: Identity, summary: Summary) -> None:
    """Name and text of each fact in two columns, in the largest letters in which all of them fit."""
    rows, name_width = fact_rows(identity, summary)[2:], 0.85
    for size in _FACT_PT:
        step = size * 1.32 / 72
        lines = [(name, wrap(text, box.width - name_width, size)) for name, text in rows]
        if sum(len(text) * step + _FACT_GAP_IN for _, text in lines) <= box.height:
            break
    y = box.top
    for number, (name, text) in enumerate(lines):
        if y - len(text) * step < box.bottom:
            put(sheet, box.left, y, f"… {len(rows) - number} more at the terminal", size, italic=True, color=GREY)
            return
        put(sheet, box.left, y, name, size, bold=True)
        for line in text:
            put(sheet, box.left + name_width, y, line, size)
            y -= step
        y -= _FACT_GAP_IN
