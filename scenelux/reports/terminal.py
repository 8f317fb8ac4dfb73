"""A study at the terminal: the first line counts the verdicts, then tables that fit the window."""

from __future__ import annotations

import math
from collections.abc import Sequence

from rich import box
from rich.console import Console
from rich.table import Table as RichTable
from rich.text import Text

from scenelux.pictures.levels import judged_lights
from scenelux.pictures.sentences import worst_veil
from scenelux.pictures.words import (
    count_verdicts,
    counts_sentence,
    data_classes,
    illuminance,
    limit_text,
    value_text,
    variant_title,
)
from scenelux.reports.compare import chosen_pair, comparison_tables, opening_lines
from scenelux.reports.rows import STATE_AND_LIGHT, Table, margin_text, merged, say, subject_name
from scenelux.study.results import EyeEntry, EyeResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import figure

__all__ = ["show_comparison", "show_study"]

_STYLE = {"meets": "green", "misses": "bold red", "not assessed": "yellow"}
_DARK_LX = 0.1
_ORDER = {"misses": 0, "not assessed": 1, "meets": 2}


def show_study(result: StudyResult, console: Console) -> None:
    """Prints counts, then for each variant its verdicts, areas and glare, then notes and cautions."""
    base = result.variants[0]
    _say(console, f"{base.name}: {counts_sentence(count_verdicts(base.verdicts))}", "bold")
    _say(console, f"{result.title} · lamp data: {data_classes(result)}")
    for variant in result.variants:
        if len(result.variants) > 1:
            _say(console, "")
            _say(
                console,
                f"{variant_title(result, variant)}. {counts_sentence(count_verdicts(variant.verdicts))}",
                "bold",
            )
        _show_verdicts(result, variant, console)
        for light in judged_lights([variant])[:1]:
            _show_areas(result, variant, light, console)
            _show_eyes(result, variant, light, console)
    if len(result.lights) > 1:
        _say(console, "The other light levels stand in the report and in summary.json.")
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
        _print(console, table.title, table.header, table.rows)
    _close(result, console)


def _show_verdicts(result: StudyResult, variant: VariantResult, console: Console) -> None:
    rows = sorted(variant.verdicts, key=lambda row: _ORDER[row.verdict])
    header = ("verdict", "rule", "where", STATE_AND_LIGHT, "found", "limit", "margin")
    table = merged(Table("Verdicts", header, tuple(_verdict_cells(result, variant, row) for row in rows)))
    _print(console, table.title, header, table.rows, first_is_verdict=True)
    for reason in dict.fromkeys(f"{row.rule}: {row.because}" for row in rows if row.verdict == "not assessed"):
        _say(console, f"  {reason}")


def _verdict_cells(result: StudyResult, variant: VariantResult, row: VerdictRow) -> tuple[str, ...]:
    return (
        row.verdict,
        row.rule,
        subject_name(variant, row.subject),
        say(result, row.state, row.light),
        f"{row.statistic} {value_text(row)}",
        limit_text(row),
        margin_text(row),
    )


def _show_areas(result: StudyResult, variant: VariantResult, light: str, console: Console) -> None:
    """Areas at one light level; a state that leaves an area dark has no row."""
    rows = tuple(
        (
            f"{area.name} ({area.plane})",
            result.states.get(entry.state) or entry.state,
            illuminance(entry.maintained.minimum, result.units),
            illuminance(entry.maintained.average, result.units),
            illuminance(entry.maintained.maximum, result.units),
        )
        for area in variant.areas
        for entry in area.entries
        if entry.light == light and not entry.maintained.average < _DARK_LX
    )
    title = f"Light on the areas, maintained: {result.lights.get(light) or light}"
    _print(console, title, ("area", "state", "minimum", "average", "maximum"), rows)


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
    title = f"Glare, initial light, hardest state: {result.lights.get(light) or light}"
    _print(console, title, ("eye", "state", "worst veil by gaze [cd/m²]", "above limit", "valid"), rows)


def _known(veil: float) -> float:
    return veil if math.isfinite(veil) else 0.0


def _eye_cells(result: StudyResult, eye: EyeResult, entries: Sequence[EyeEntry]) -> tuple[str, ...]:
    worst = [(entry.gaze, worst_veil(eye, entry)) for entry in entries]
    seconds = [entry.seconds_above for entry in entries if entry.seconds_above is not None]
    return (
        eye.name,
        result.states.get(entries[0].state) or entries[0].state,
        "; ".join(f"{gaze} {figure(veil)}" for gaze, veil in worst) if any(veil for _, veil in worst) else "none",
        f"{figure(max(seconds))} s" if seconds else "no limit",
        f"{min(entry.valid_stations for entry in entries)} of {eye.distances_m.size}",
    )


def _close(result: StudyResult, console: Console) -> None:
    for note in result.notes:
        _say(console, f"Note: {note}")
    for caution in result.cautions:
        _say(console, f"Caution: {caution}")


def _print(
    console: Console,
    title: str,
    header: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    first_is_verdict: bool = False,
) -> None:
    """One table; nothing when it has no rows. Names from documents are text, never markup."""
    if not rows:
        return
    table = RichTable(title=title, title_justify="left", title_style="bold", box=box.SIMPLE_HEAD, pad_edge=False)
    for name in header:
        table.add_column(Text(name), overflow="fold")
    for row in rows:
        style = _STYLE.get(row[0], "") if first_is_verdict else ""
        table.add_row(*(Text(cell, style=style if i == 0 else "") for i, cell in enumerate(row)))
    console.print(table)


def _say(console: Console, text: str, style: str = "") -> None:
    console.print(Text(text, style=style), soft_wrap=not console.is_terminal)
