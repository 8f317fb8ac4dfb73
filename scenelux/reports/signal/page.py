"""One page of flashing lamps: verdicts first, then sheets, sentences and tables; nothing on it moves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from html import escape

from scenelux.reports.html import Picture, closing, figure_of, head, page, table_of
from scenelux.reports.signal.rows import opening_lines, said_lines, signal_tables
from scenelux.study.results.signal import SignalStudy, SignalVariant

__all__ = ["signal_page"]


def signal_page(
    study: SignalStudy, pictures: Sequence[Picture], stills: Mapping[str, Picture], *, video: bool = False
) -> str:
    """The page.

    Parameters
    ----------
    study : all variants.
    pictures : the sheets, in order.
    stills : file of an animation -> the picture that links to it.
    video : whether each animation is there as MP4, too.
    """
    about = replace(study.about, notes=study.notes)
    title = f"Flashing lamps: {study.about.title}"
    parts = [head(about, title, opening_lines(study))]
    parts += [figure_of(picture) for picture in pictures]
    parts += [_still(name, picture, video) for name, picture in stills.items()]
    parts += [_section(study, variant) for variant in study.variants]
    parts.append(closing(about))
    return page(title, parts)


def _still(name: str, picture: Picture, video: bool) -> str:
    """Nothing on the page moves: an animation opens when a reader chooses it, and begins with its warning."""
    warns = (
        "Warning: the animation shows flashing lights, slowed to at most 3 flashes a second. It does not play by "
        "itself: the picture opens it, and a warning stands first."
    )
    beside = f' <a href="{escape(name.removesuffix(".webp"))}.mp4">The same as MP4.</a>' if video else ""
    return f'<p class="grey">{warns}{beside}</p>{figure_of(picture, name)}'


def _section(study: SignalStudy, variant: SignalVariant) -> str:
    heading = f"<h2>{escape(f'{variant.name}: {variant.say}')}</h2>"
    said = "".join(f"<li>{escape(line)}</li>" for line in said_lines(study, variant))
    tables = [table_of(table) for table in signal_tables(study, variant)]
    return f"<section>{heading}{''.join(tables[:1])}<ul>{said}</ul>{''.join(tables[1:])}</section>"
