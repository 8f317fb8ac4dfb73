"""A study at the terminal: the first line counts the verdicts, then tables that fit the window."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich.cells import cell_len
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from scenelux.pictures.levels import judged_lights
from scenelux.pictures.sentences import worst_veil
from scenelux.pictures.words import (
    counts_sentence,
    data_classes,
    illuminance_cell,
    illuminance_units,
    limit_text,
    value_text,
    variant_title,
)
from scenelux.reports.compare import chosen_pair, comparison_tables, opening_lines
from scenelux.reports.crew import tables_at
from scenelux.reports.rows import subject_name
from scenelux.reports.states import dark_sentence, say
from scenelux.reports.tabling import STATE_AND_LIGHT, Table, merged
from scenelux.study.results import EyeEntry, EyeResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import figure

__all__ = ["print_table", "show_comparison", "show_study"]

_STYLE = {"meets": "green", "misses": "bold red", "not assessed": "yellow"}
_DARK_LX = 0.1
_GAP, _NARROWEST = 2, 8  # between columns, and the least width of a column that gives way
_FORMULAS = (
    "veiling luminance by ",
    "other forms of the veil",
    "threshold increment",
    "discomfort rating",
    "glare rating",
    "luminance of an opening",
    "worst standing place",
)
_ORDER = {"misses": 0, "not assessed": 1, "meets": 2}


def show_study(result: StudyResult, console: Console) -> None:
    """Prints counts, then for each variant its verdicts, areas and glare, then notes and cautions."""
    base = result.variants[0]
    _say(console, f"{base.name}: {counts_sentence(base.verdicts)}", "bold")
    _say(console, f"{result.title} · lamp data: {data_classes(result)}")
    for variant in result.variants:
        if len(result.variants) > 1:
            _say(console, "")
            _say(
                console,
                f"{variant_title(result, variant)}. {counts_sentence(variant.verdicts)}",
                "bold",
            )
        _show_verdicts(result, variant, console)
        for light in judged_lights([variant])[:1]:
            _show_areas(result, variant, light, console)
            _show_eyes(result, variant, light, console)
        for table in tables_at(result, variant):
            _print(console, table)
        if dark := dark_sentence(result, variant):
            _say(console, "")
            _say(console, dark)
    if len(result.lights) > 1:
        _say(console, "The other light levels stand in the report and in summary.json.")
    _say(console, "")
    _close(result, console)


def show_comparison(result: StudyResult, console: Console, first: str | None, second: str | None) -> None:
    """Prints counts, what differs in words, and the tables of differences.

    Parameters
    ----------
    result : the study.
    console : where to print.
    first, second : names of the variants; without them the first two of the study.
    """
    one, other = chosen_pair(result, first, second)
    for number, line in enumerate(opening_lines(result, one, other)):
        _say(console, line, "bold" if number < 2 else "")
    for table in comparison_tables(result, one, other):
        _print(console, table)
    _say(console, "")
    _close(result, console)


def _show_verdicts(result: StudyResult, variant: VariantResult, console: Console) -> None:
    rows = sorted(variant.verdicts, key=lambda row: _ORDER[row.verdict])
    header = ("verdict", "rule, where", STATE_AND_LIGHT, "found", "limit")
    table = merged(Table("Verdicts", header, tuple(_verdict_cells(result, variant, row) for row in rows)))
    _print(console, table)
    for reason in dict.fromkeys(f"{row.rule}: {row.because}" for row in rows if row.verdict == "not assessed"):
        _say(console, f"  {reason}")


def _verdict_cells(result: StudyResult, variant: VariantResult, row: VerdictRow) -> tuple[str, ...]:
    close = "; margin inside data uncertainty" if row.inside_uncertainty and row.verdict != "not assessed" else ""
    return (
        row.verdict,
        f"{row.rule}, {subject_name(variant, row.subject)}{close}",
        say(result, row.state, row.light),
        f"{row.statistic} {value_text(row)}",
        limit_text(row),
    )


def _show_areas(result: StudyResult, variant: VariantResult, light: str, console: Console) -> None:
    """Areas at one light level; a state that leaves an area dark has no row."""
    rows = tuple(
        (
            f"{area.name} ({area.plane})",
            result.states.get(entry.state) or entry.state,
            *(
                illuminance_cell(value, result.units)
                for value in (entry.maintained.minimum, entry.maintained.average, entry.maintained.maximum)
            ),
        )
        for area in variant.areas
        for entry in area.entries
        if entry.light == light and not entry.maintained.average < _DARK_LX
    )
    title = f"Light on the areas, maintained, {illuminance_units(result.units)}: {result.lights.get(light) or light}"
    _print(console, Table(title, ("area", STATE_AND_LIGHT, "minimum", "average", "maximum"), rows))


def _show_eyes(result: StudyResult, variant: VariantResult, light: str, console: Console) -> None:
    """Each eye at one light level in its hardest duty state, the gazes side by side."""
    rows = []
    for eye in variant.eyes:
        by_state: dict[str, list[EyeEntry]] = {}
        for entry in eye.entries:
            if entry.light == light:
                by_state.setdefault(entry.state, []).append(entry)
        if by_state:
            hardest = max(by_state.values(), key=lambda entries: max(_known(worst_veil(eye, one)) for one in entries))
            rows.append(_eye_cells(result, eye, hardest))
    title = f"Glare, initial light, each eye in its hardest state: {result.lights.get(light) or light}"
    header = ("eye", STATE_AND_LIGHT, "worst veil by gaze [cd/m²]", "above limit")
    _print(console, Table(title, header, tuple(rows)))


def _known(veil: float) -> float:
    return veil if math.isfinite(veil) else 0.0


def _eye_cells(result: StudyResult, eye: EyeResult, entries: Sequence[EyeEntry]) -> tuple[str, ...]:
    worst = [(entry.gaze, worst_veil(eye, entry)) for entry in entries]
    seconds = [entry.seconds_above for entry in entries if entry.seconds_above is not None]
    valid, stations = min(entry.valid_stations for entry in entries), eye.distances_m.size
    return (
        eye.name if valid == stations else f"{eye.name} ({valid} of {stations} stations valid)",
        result.states.get(entries[0].state) or entries[0].state,
        "; ".join(f"{gaze} {figure(veil)}" for gaze, veil in worst) if any(veil for _, veil in worst) else "none",
        f"{figure(max(seconds))} s" if seconds else "no limit",
    )


def _close(result: StudyResult, console: Console) -> None:
    for note in result.notes:
        if not note.startswith(_FORMULAS):
            _say(console, f"Note: {note}")
    if any(note.startswith(_FORMULAS) for note in result.notes):
        _say(console, "Formulas and their sources: see report.html and the notes in summary.json.")
    for caution in result.cautions:
        _say(console, f"Caution: {caution}")


def print_table(table: Table, console: Console) -> None:
    """Prints one table that fits the window, and its note.

    Parameters
    ----------
    table : to print.
    console : where.
    """
    _print(console, table)
    if table.note:
        _say(console, table.note)


def _print(console: Console, table: Table) -> None:
    """A table that fits the window: what holds for several rows stands once above them. Nothing without rows."""
    groups, header = _groups(table)
    if not groups:
        return
    _say(console, "")
    _say(console, table.title, "bold")
    widths = _widths([header, *(row for rows in groups.values() for row in rows)], console.width)
    for number, (heading, rows) in enumerate(groups.items()):
        if number == 0:
            console.print(_rows(widths, [header], underlined=True, plain=console.no_color))
        if heading:
            _say(console, heading, "italic")
        console.print(_rows(widths, rows, verdicts=table.is_verdicts, plain=console.no_color))


def _groups(table: Table) -> tuple[dict[str, list[tuple[str, ...]]], tuple[str, ...]]:
    """Rows by their state and light level, and the header, both without that column."""
    if STATE_AND_LIGHT not in table.header:
        return ({"": list(table.rows)} if table.rows else {}), table.header
    column = table.header.index(STATE_AND_LIGHT)
    groups: dict[str, list[tuple[str, ...]]] = {}
    for row in table.rows:
        groups.setdefault(row[column], []).append((*row[:column], *row[column + 1 :]))
    return groups, (*table.header[:column], *table.header[column + 1 :])


def _widths(rows: Sequence[Sequence[str]], window: int) -> list[int]:
    """Widths of columns; while they are too wide for the window the widest gives way."""
    widths = [max(cell_len(cell) for cell in column) for column in zip(*rows, strict=True)]
    room = window - _GAP * len(widths)
    while sum(widths) > room and max(widths) > _NARROWEST:
        widths[widths.index(max(widths))] -= 1
    return widths


def _rows(
    widths: Sequence[int],
    rows: Sequence[Sequence[str]],
    *,
    underlined: bool = False,
    verdicts: bool = False,
    plain: bool = False,
) -> RichTable:
    """Rows in columns of given widths. Names from documents are text, never markup."""
    table = RichTable(box=None, show_header=False, padding=(0, _GAP, 0, 0), pad_edge=True)
    for width in widths:
        table.add_column(width=width, overflow="fold")
    for row in rows:
        style = "" if plain else "underline" if underlined else _STYLE.get(row[0], "") if verdicts else ""
        table.add_row(*(Text(cell, style=style if underlined or i == 0 else "") for i, cell in enumerate(row)))
    return table


def _say(console: Console, text: str, style: str = "") -> None:
    console.print(Text(text, style="" if console.no_color else style), soft_wrap=not console.is_terminal)
