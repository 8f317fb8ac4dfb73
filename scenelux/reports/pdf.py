"""The PDF: verdict pages first, then the sheets, with cautions on every page and no date in the file."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from io import BytesIO
from typing import Any

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from scenelux.pictures import study_sheets
from scenelux.pictures.sheet import BODY, GREY, HEIGHT_IN, WIDTH_IN, Sheet, new_sheet, put
from scenelux.pictures.text import wrap
from scenelux.pictures.words import counts_sentence, variant_title
from scenelux.reports.crew_pages import crew_pages
from scenelux.reports.lamps import lamp_table
from scenelux.reports.rows import luminaire_table, verdict_table
from scenelux.reports.states import dark_sentence
from scenelux.reports.tabling import Table, merged
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["PdfWriter", "study_pdf", "study_text_pages", "table_pages", "text_pages"]

_METADATA = {"Creator": "scenelux", "Producer": "scenelux", "CreationDate": None, "ModDate": None}
_SIZE, _STEP = 6.5, 6.5 * 1.32 / 72
_VERDICT_SHARES = (0.09, 0.2, 0.15, 0.12, 0.1, 0.09, 0.1, 0.15)
_LAMP_SHARES = (0.13, 0.13, 0.1, 0.24, 0.06, 0.06, 0.28)


class PdfWriter:
    """Collects pages; the same pages give the same bytes."""

    def __init__(self, title: str) -> None:
        self._buffer = BytesIO()
        self._pages: Any = PdfPages(self._buffer, metadata={"Title": title, **_METADATA})

    def add(self, figure: Figure) -> None:
        """Adds a sheet as a page."""
        self._pages.savefig(figure, dpi=150)

    def add_all(self, figures: Iterable[Figure]) -> None:
        """Adds pages one after the other."""
        for figure in figures:
            self.add(figure)

    def finish(self) -> bytes:
        """The whole file."""
        self._pages.close()
        return self._buffer.getvalue()


def study_pdf(result: StudyResult, colours: str, every_light: bool) -> bytes:
    """The whole PDF of a study, as one task that another process can take.

    Parameters
    ----------
    result : the study.
    colours : "inferno" or "cividis".
    every_light : every light level of every state and every area.
    """
    writer = PdfWriter(result.title)
    writer.add_all(study_text_pages(result))
    writer.add_all(sheet for _, sheet in study_sheets(result, colours=colours, every_light=every_light))
    return writer.finish()


def study_text_pages(result: StudyResult) -> Iterator[Sheet]:
    """Verdicts, people and lamp schedule of every variant, then the luminaires."""
    for variant in result.variants:
        counts = counts_sentence(variant.verdicts)
        table = merged(verdict_table(result, variant))
        mode = f"Verdicts · {variant_title(result, variant)}"
        yield from table_pages(result, mode, counts, table, _VERDICT_SHARES, variant)
        yield from crew_pages(result, variant)
        lamps, mode = lamp_table(result, variant), f"Lamp schedule · {variant_title(result, variant)}"
        dark = dark_sentence(result, variant)
        yield from table_pages(result, mode, dark, lamps, _LAMP_SHARES, variant)
    shares = (0.2, 0.15, 0.08, 0.08, 0.08, 0.07, 0.2, 0.14)
    yield from table_pages(result, "Luminaires", "How far the lamp data go", luminaire_table(result), shares)


def table_pages(
    result: StudyResult,
    mode: str,
    line: str,
    table: Table,
    shares: Sequence[float],
    variant: VariantResult | None = None,
) -> Iterator[Sheet]:
    """A table on as many pages as it needs.

    Parameters
    ----------
    result : the study.
    mode, line : heading and the line below it.
    table : what to print.
    shares : width of each column as a share of the page.
    variant : whose data class the head shows.
    """
    lefts = [BODY.left + BODY.width * sum(shares[:i]) for i in range(len(shares))]
    wide = [BODY.width * share - 0.08 for share in shares]
    rows = [
        [wrap(text, width, _SIZE, width is wide[0]) for text, width in zip(row, wide, strict=True)]
        for row in table.rows
    ]
    page, y = _table_page(result, mode, line, table, lefts, variant)
    for cells in rows:
        tall = _STEP * max(len(lines) for lines in cells) + 0.06
        if y - tall < BODY.bottom and y < BODY.top - 0.3:
            yield page
            page, y = _table_page(result, f"{mode} (continued)", line, table, lefts, variant)
        for i, (left, lines) in enumerate(zip(lefts, cells, strict=True)):
            for number, text in enumerate(lines):
                put(page, left, y - _STEP * number, text, _SIZE, bold=i == 0)
        y -= tall
        _rule(page, y + 0.025)
    yield page


def _table_page(
    result: StudyResult, mode: str, line: str, table: Table, lefts: Sequence[float], variant: VariantResult | None
) -> tuple[Sheet, float]:
    page = new_sheet(result, mode, line, table.note, variant)
    for left, name in zip(lefts, table.header, strict=True):
        put(page, left, BODY.top, name, _SIZE, bold=True)
    _rule(page, BODY.top - 0.14, 1.0)
    return page, BODY.top - 0.2


def _rule(page: Sheet, y: float, width: float = 0.4) -> None:
    ends = (BODY.left / WIDTH_IN, BODY.right / WIDTH_IN)
    page.add_artist(Line2D(ends, (y / HEIGHT_IN, y / HEIGHT_IN), color=GREY, lw=width))


def text_pages(result: StudyResult, mode: str, line: str, sentences: Sequence[str]) -> Iterator[Sheet]:
    """Sentences in large letters, on as many pages as they need.

    Parameters
    ----------
    result : the study.
    mode, line : heading and the line below it.
    sentences : what to print.
    """
    page, y = new_sheet(result, mode, line, ""), BODY.top
    for sentence in sentences:
        lines = wrap(sentence, BODY.width, 10)
        if y - 0.2 * len(lines) < BODY.bottom and y < BODY.top:
            yield page
            page, y = new_sheet(result, f"{mode} (continued)", line, ""), BODY.top
        for text in lines:
            put(page, BODY.left, y, text, 10)
            y -= 0.19
        y -= 0.1
    yield page
