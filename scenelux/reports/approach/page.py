"""One page of approaches: who is seen from where, glare and conspicuity, curves, and a still for each animation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from html import escape

from scenelux.reports.approach.rows import approach_tables, driver_line, opening_lines, title_of
from scenelux.reports.html import Picture, closing, figure_of, head, page, table_of
from scenelux.study.results.approach import ApproachResult, ApproachStudy, ApproachVariant

__all__ = ["approach_page"]


def approach_page(
    study: ApproachStudy, pictures: Sequence[Picture], stills: Mapping[str, Picture], *, video: bool = False
) -> str:
    """The page.

    Parameters
    ----------
    study : all approaches.
    pictures : the sheets, in order.
    stills : file of an animation -> the picture that links to it.
    video : whether each animation is there as MP4, too.
    """
    about = replace(study.about, notes=study.notes)
    title = f"Approach: {study.about.title}"
    parts = [head(about, title, opening_lines(study))]
    parts += [_still(name, picture, video) for name, picture in stills.items()]
    parts += [figure_of(picture) for picture in pictures]
    parts += [_section(study, variant, approach) for variant in study.variants for approach in variant.approaches]
    parts.append(closing(about))
    return page(title, parts)


def _still(name: str, picture: Picture, video: bool) -> str:
    """Nothing on the page moves: an animation opens when a reader chooses it, and begins with its warning."""
    warns = (
        "Warning: the animation shows bright lamps that move. It does not play by itself: the picture opens it, and a "
        "warning stands first."
    )
    beside = f' <a href="{escape(name.removesuffix(".webp"))}.mp4">The same as MP4.</a>' if video else ""
    return f'<p class="grey">{warns}{beside}</p>{figure_of(picture, name)}'


def _section(study: ApproachStudy, variant: ApproachVariant, approach: ApproachResult) -> str:
    heading = f"<h2>{escape(title_of(study, variant.name, approach))}</h2>"
    lines = [driver_line(approach, study.about.units), *approach.notes]
    said = "".join(f'<p class="grey">{escape(line)}</p>' for line in lines)
    return f"<section>{heading}{said}{''.join(table_of(one) for one in approach_tables(study, approach))}</section>"
