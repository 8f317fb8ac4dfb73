"""One page that holds everything: no file beside it, no address outside it, readable on a phone and on paper."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape

from scenelux.pictures.levels import judged_lights
from scenelux.pictures.words import counts_sentence, data_classes, variant_title
from scenelux.reports.compare import comparison_tables, opening_lines
from scenelux.reports.rows import input_table, luminaire_table, variant_tables
from scenelux.reports.states import dark_sentence, lit_levels
from scenelux.reports.tabling import Table
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["Picture", "closing", "comparison_page", "figure_of", "head", "page", "study_page", "table_of"]

_STYLE = """
:root { color-scheme: light; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 76rem; color: #111; background: #fff;
  font: 16px/1.45 system-ui, -apple-system, "Segoe UI", "DejaVu Sans", sans-serif; }
h1 { font-size: 1.5rem; line-height: 1.2; margin: .2rem 0 .6rem; }
h2 { font-size: 1.2rem; margin: 2rem 0 .5rem; padding-top: .6rem; border-top: 2px solid #111; }
h3 { font-size: 1rem; margin: 1.4rem 0 .4rem; }
.first { font-size: 1.15rem; font-weight: 700; margin: .3rem 0; }
.badge { display: inline-block; border: 2px solid #111; padding: .1rem .5rem; font-weight: 700; font-size: .85rem; }
.cautions { border-left: 6px solid #111; background: #f2f2f2; padding: .6rem .9rem; margin: 1rem 0; }
.cautions ul { margin: .2rem 0; padding-left: 1.2rem; }
.grey { color: #444; font-size: .9rem; }
.wide { overflow-x: auto; max-width: 100%; }
table { border-collapse: collapse; width: 100%; font-size: .85rem; }
th, td { border-bottom: 1px solid #bbb; padding: .3rem .5rem; text-align: left; vertical-align: top; }
th { border-bottom: 2px solid #111; background: #f2f2f2; }
td { overflow-wrap: break-word; }
td.v { font-weight: 700; white-space: nowrap; }
td.misses { background: #111; color: #fff; }
td.not { background: #ddd; font-style: italic; }
details { margin: .4rem 0; }
summary { cursor: pointer; font-weight: 700; padding: .4rem 0; }
figure { margin: 1rem 0; break-inside: avoid; }
figure img { width: 100%; height: auto; border: 1px solid #bbb; }
figcaption { font-size: .85rem; color: #444; }
@media (max-width: 700px) {
  body { padding: .7rem; font-size: 15px; }
  .wide { border: 1px solid #888; }
  table { width: max-content; min-width: 100%; border-collapse: separate; border-spacing: 0; }
  th, td { max-width: 14rem; }
  th:first-child, td:first-child { position: sticky; left: 0; max-width: 8rem; border-right: 1px solid #888; }
  td:first-child { background: #fff; }
  td.v:first-child { white-space: normal; }
  td.misses:first-child { background: #111; }
  td.not:first-child { background: #ddd; }
}
@media print {
  body { max-width: none; font-size: 10pt; padding: 0; }
  tr { break-inside: avoid; }
  details::details-content { content-visibility: visible; display: block; block-size: auto; }
  td.misses { background: #fff; color: #111; border: 2px solid #111; }
  table { font-size: 7.5pt; }
}
"""


@dataclass(frozen=True)
class Picture:
    """A sheet as it stands on the page: its file name, its PNG and what it shows."""

    name: str
    png: bytes
    says: str


def study_page(result: StudyResult, pictures: Mapping[str, Sequence[Picture]]) -> str:
    """The page of a study.

    Parameters
    ----------
    result : the study.
    pictures : for each variant its sheets in order.
    """
    base = result.variants[0]
    lines = [f"{base.name}: {counts_sentence(base.verdicts)}"]
    parts = [head(result, result.title, lines)]
    parts += [_variant(result, variant, pictures[variant.name]) for variant in result.variants]
    parts.append(closing(result))
    return page(result.title, parts)


def comparison_page(
    result: StudyResult, first: VariantResult, second: VariantResult, pictures: Iterable[Picture]
) -> str:
    """The page of a comparison.

    Parameters
    ----------
    result : the study.
    first, second : the variants.
    pictures : sheets of the comparison, in order.
    """
    title = f"{result.title}: {first.name} and {second.name}"
    lines = opening_lines(result, first, second)
    parts = [head(result, title, lines[:2]), "<h2>What differs</h2>"]
    parts += [f"<p>{escape(line)}</p>" for line in lines[2:]]
    parts += [table_of(table) for table in comparison_tables(result, first, second)]
    parts += [figure_of(picture) for picture in pictures]
    parts.append(closing(result))
    return page(title, parts)


def page(title: str, parts: Sequence[str]) -> str:
    """A page of parts.

    Parameters
    ----------
    title : plain text.
    parts : sections as HTML.
    """
    body = "\n".join(parts)
    return (
        f'<!doctype html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        f'<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def head(result: StudyResult, title: str, lines: Sequence[str]) -> str:
    """Title, whose data, first lines, and the cautions.

    Parameters
    ----------
    result : the study, or what another job says of its scene.
    title, lines : plain text.
    """
    badge = "Invented demonstration data" if result.demonstration else "Project data"
    first = "".join(f'<p class="first">{escape(line)}</p>' for line in lines)
    return (
        f'<header><span class="badge">{badge}</span><h1>{escape(title)}</h1>{first}'
        f'<p class="grey">Scene {escape(result.scene_name)} · lamp data: {escape(data_classes(result))}</p></header>'
        f"{_cautions(result)}"
    )


def _cautions(result: StudyResult) -> str:
    items = "".join(f"<li>{escape(caution)}</li>" for caution in result.cautions)
    return f'<section class="cautions"><strong>Cautions</strong><ul>{items}</ul></section>'


def _variant(result: StudyResult, variant: VariantResult, pictures: Sequence[Picture]) -> str:
    title = variant_title(result, variant)
    counts = f"<p>{escape(counts_sentence(variant.verdicts))}</p>" if len(result.variants) > 1 else ""
    tables = variant_tables(result, variant)
    shown = _maps_note(result, variant) + "".join(figure_of(picture) for picture in pictures)
    first = "".join(table_of(table) for table in tables[:1])
    rest = "".join(table_of(table) for table in tables[1:])
    return f"<section><h2>{escape(title)}</h2>{counts}{first}{shown}{rest}</section>"


def _maps_note(result: StudyResult, variant: VariantResult) -> str:
    """Which states and light levels the maps show, and which have no light to show."""
    words = [result.lights.get(light) or light for light in judged_lights([variant])[:1]]
    drawn = (
        f"Maps: each duty state at the light level that the rules judge most ({'; '.join(words)}), or as named on "
        "the sheet. The tables hold every light level."
    )
    lines = [drawn if lit_levels(variant) else "", dark_sentence(result, variant)]
    return "".join(f'<p class="grey">{escape(line)}</p>' for line in lines if line)


def closing(result: StudyResult) -> str:
    """Notes, luminaires and input files, and the cautions once more."""
    notes = "".join(f"<li>{escape(note)}</li>" for note in result.notes)
    listed = f"<h3>Notes</h3><ul>{notes}</ul>" if notes else ""
    tables = "".join(table_of(table) for table in (luminaire_table(result), input_table(result)) if table.rows)
    return f"<section><h2>What went in</h2>{listed}{tables}</section>{_cautions(result)}"


def figure_of(picture: Picture, link: str = "") -> str:
    """A picture with what it shows.

    Parameters
    ----------
    picture : within the page itself.
    link : a file beside the page that a click opens, or nothing.
    """
    data = b64encode(picture.png).decode("ascii")
    caption = f"{escape(picture.says)} ({escape(picture.name)})"
    image = f'<img alt="{escape(picture.says)}" src="data:image/png;base64,{data}">'
    if link:
        image = f'<a href="{escape(link)}">{image}</a>'
    return f"<figure>{image}<figcaption>{caption}</figcaption></figure>"


def table_of(table: Table) -> str:
    """A table; what it does not show at first and its numbered notes open at a click, and on paper by themselves."""
    shown = len(table.rows) if table.shown is None else table.shown
    first, rest = table.rows[:shown], table.rows[shown:]
    note = f'<p class="grey">{escape(table.note)}</p>' if table.note else ""
    more = _folded(f"The other states and light levels ({len(rest)} rows)", _grid(table, rest)) if rest else ""
    items = "".join(f"<li>{escape(text)}</li>" for text in table.numbered)
    notes = _folded(f"Notes by number ({len(table.numbered)})", f'<ol class="grey">{items}</ol>') if items else ""
    return f"<h3>{escape(table.title)}</h3>{_grid(table, first)}{more}{note}{notes}"


def _folded(name: str, inside: str) -> str:
    return f"<details><summary>{escape(name)}</summary>{inside}</details>"


def _grid(table: Table, rows: Sequence[Sequence[str]]) -> str:
    head = "".join(f"<th>{escape(name)}</th>" for name in table.header)
    body = "".join(f"<tr>{''.join(_cells(table, row))}</tr>" for row in rows)
    return f'<div class="wide"><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>'


def _cells(table: Table, row: Sequence[str]) -> list[str]:
    """Cells of a row; a verdict stands out."""
    kinds = [f' class="v {row[0].split()[0]}"' if table.is_verdicts and row[0] else "", *([""] * (len(row) - 1))]
    return [f"<td{kind}>{escape(text)}</td>" for kind, text in zip(kinds, row, strict=True)]
