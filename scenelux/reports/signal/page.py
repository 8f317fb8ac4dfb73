"""One page of flashing lamps: verdicts first, then sheets, sentences and tables; nothing on it moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import escape

from scenelux.reports.html import Picture, closing, figure_of, head, page, table_of
from scenelux.reports.signal.rows import opening_lines, said_lines, signal_tables
from scenelux.study.results.signal import SignalStudy, SignalVariant

__all__ = ["signal_page"]


def signal_page(study: SignalStudy, pictures: Sequence[Picture]) -> str:
    """The page.

    Parameters
    ----------
    study : all variants.
    pictures : the sheets, in order.
    """
    about = replace(study.about, notes=study.notes)
    title = f"Flashing lamps: {study.about.title}"
    parts = [head(about, title, opening_lines(study))]
    parts += [figure_of(picture) for picture in pictures]
    parts += [_section(study, variant) for variant in study.variants]
    parts.append(closing(about))
    return page(title, parts)


def _section(study: SignalStudy, variant: SignalVariant) -> str:
    heading = f"<h2>{escape(f'{variant.name}: {variant.say}')}</h2>"
    said = "".join(f"<li>{escape(line)}</li>" for line in said_lines(study, variant))
    tables = [table_of(table) for table in signal_tables(study, variant)]
    return f"<section>{heading}{''.join(tables[:1])}<ul>{said}</ul>{''.join(tables[1:])}</section>"
