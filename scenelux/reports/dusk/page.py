"""The page of switching, and the script of the yard test with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import escape

from scenelux.reports.dusk.rows import dusk_tables
from scenelux.reports.dusk.words import counts_line, leading_lines
from scenelux.reports.html import Picture, closing, figure_of, head, page, table_of
from scenelux.study.results.dusk import DuskResult, YardStep

__all__ = ["YARD", "dusk_page", "yard_page"]

YARD = "yard.html"

_YARD_STYLE = """<style>
.step { border: 1px solid #888; padding: .5rem .8rem; margin: .6rem 0; break-inside: avoid; }
.step h3 { margin: 0 0 .3rem; } .step ul { list-style: none; margin: .2rem 0; padding: 0; }
.step li { padding: .15rem 0; } .step label { display: block; padding-left: 1.9rem; text-indent: -1.9rem; }
.step input { width: 1.1rem; height: 1.1rem; margin-right: .6rem; vertical-align: -.15rem; }
.sign { border-bottom: 1px solid #111; display: inline-block; min-width: 14rem; }
</style>"""


def dusk_page(result: DuskResult, pictures: Sequence[Picture]) -> str:
    """The page.

    Parameters
    ----------
    result : of the switching.
    pictures : the sheets, in order.
    """
    about = replace(result.about, notes=result.notes)
    title = f"Switching: {result.title}"
    parts = [head(about, title, leading_lines(result))]
    parts.append(f'<p><a href="{YARD}">Yard test: {len(result.yard)} steps to tick off</a></p>')
    tables = dusk_tables(result)
    parts.append(table_of(tables[0]))
    parts += [figure_of(picture) for picture in pictures]
    parts += [table_of(table) for table in tables[1:]]
    parts.append(closing(about))
    return page(title, parts)


def yard_page(result: DuskResult) -> str:
    """Steps with boxes; it prints.

    Parameters
    ----------
    result : of the switching.
    """
    title = f"Yard test: {result.title}"
    lines = [f"{len(result.yard)} steps, made from the rules. Computed before: {counts_line(result)}."]
    parts = [_YARD_STYLE, head(result.about, title, lines)]
    asked = ("Date", "Vehicle", "Tested by", "Lux meter, its class and last calibration")
    parts.append("".join(f'<p>{name}: <span class="sign">&nbsp;</span></p>' for name in asked))
    parts.append(
        "<p><strong>Chock the wheels and keep the front and the rear clear: steps release brakes and put gears in."
        "</strong></p>"
        '<p class="grey">Dark yard, no other lamps. Lux values are maintained ones, at the points of the area: '
        "clean new lamps show more. A lux meter has an error of its own.</p>"
    )
    parts += [_step(number, one) for number, one in enumerate(result.yard, 1)]
    return page(title, parts)


def _step(number: int, one: YardStep) -> str:
    because = f'<p class="grey">{escape(one.because)}</p>' if one.because else ""
    sets = escape("; ".join(one.sets))
    boxes = "".join(_box(text) for text in (*one.expects, *one.measures))
    return (
        f'<section class="step"><h3>{number}. {escape(one.about)}</h3>{because}<p><strong>Set:</strong> {sets}.</p>'
        f"<ul>{boxes}</ul></section>"
    )


def _box(text: str) -> str:
    return f'<li><label><input type="checkbox">{escape(text)}</label></li>'
