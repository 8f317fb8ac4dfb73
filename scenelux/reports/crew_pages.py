"""The people around the vehicle in the PDF: tables one below the other, at the lamp levels that most rules judge."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from matplotlib.lines import Line2D

from scenelux.pictures.sheet import BODY, GREY, HEIGHT_IN, WIDTH_IN, Sheet, new_sheet, put
from scenelux.pictures.text import wrap
from scenelux.pictures.words import variant_title
from scenelux.reports.crew import glare_table, people_table, standing_table
from scenelux.reports.states import lit_levels, say_level
from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["crew_pages"]

_SIZE, _STEP, _GAP = 6.5, 6.5 * 1.32 / 72, 0.08
_GLARE = (0.13, 0.17, 0.08, 0.07, 0.09, 0.17, 0.23, 0.06)
_PEOPLE = (0.18, *[0.82 / 9] * 9)
_STANDING = (0.2, 0.12, 0.2, 0.13, 0.1, 0.1, 0.09, 0.06)


def crew_pages(result: StudyResult, variant: VariantResult) -> Iterator[Sheet]:
    """Glare, light on people and the worst places to stand; no page where there is none of them.

    Parameters
    ----------
    result : the study.
    variant : whose people are listed.
    """
    levels = lit_levels(variant)[:1]
    tables = (
        (glare_table(result, variant, levels), _GLARE),
        (people_table(result, variant, levels), _PEOPLE),
        (standing_table(result, variant, levels), _STANDING),
    )
    blocks = [block for table, shares in tables if table.rows for block in _blocks(table, shares)]
    if not blocks:
        return
    mode, line = f"People around the vehicle · {variant_title(result, variant)}", say_level(result, levels[0])
    page, y = new_sheet(result, mode, line, "", variant), BODY.top
    for block in blocks:
        if y - block.tall < BODY.bottom and y < BODY.top:
            yield page
            page, y = new_sheet(result, f"{mode} (continued)", line, "", variant), BODY.top
        y = block.draw(page, y)
    yield page


class _Block:
    """Cells side by side that stay together: a title, a header, a row or a note."""

    def __init__(self, cells: Sequence[Sequence[str]], lefts: Sequence[float], *, bold: bool, rule: float) -> None:
        self.cells, self.lefts, self.bold, self.rule = cells, lefts, bold, rule
        self.tall = _STEP * max(len(lines) for lines in cells) + 0.06

    def draw(self, page: Sheet, top: float) -> float:
        """Draws the cells and a rule below them, and returns where the next block begins."""
        for column, (left, lines) in enumerate(zip(self.lefts, self.cells, strict=True)):
            for number, text in enumerate(lines):
                put(page, left, top - _STEP * number, text, _SIZE, bold=self.bold or (bool(self.rule) and not column))
        bottom = top - self.tall
        if self.rule:
            ends, y = (BODY.left / WIDTH_IN, BODY.right / WIDTH_IN), (bottom + 0.025) / HEIGHT_IN
            page.add_artist(Line2D(ends, (y, y), color=GREY, lw=self.rule))
        return bottom


def _blocks(table: Table, shares: Sequence[float]) -> Iterator[_Block]:
    """A table without the column of its state, which stands above."""
    column = table.header.index(STATE_AND_LIGHT)
    lefts = [BODY.left + BODY.width * sum(shares[:i]) for i in range(len(shares))]
    wide = [BODY.width * share - _GAP for share in shares]

    def cells(row: Sequence[str], bold: bool) -> list[list[str]]:
        kept = (*row[:column], *row[column + 1 :])
        return [wrap(text, width, _SIZE, bold or not i) for i, (text, width) in enumerate(zip(kept, wide, strict=True))]

    yield _Block([["", table.title]], [BODY.left], bold=True, rule=0.0)
    yield _Block(cells(table.header, True), lefts, bold=True, rule=1.0)
    for row in table.rows:
        yield _Block(cells(row, False), lefts, bold=False, rule=0.4)
    for text in (table.note, *(f"{number}  {note}" for number, note in enumerate(table.numbered, 1))):
        yield _Block([wrap(text, BODY.width, _SIZE)], [BODY.left], bold=False, rule=0.0)
