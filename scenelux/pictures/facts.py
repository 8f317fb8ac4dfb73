"""What a sheet says beside its picture: areas with their verdicts, lamps that are on, limits that apply."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from string import ascii_uppercase

from scenelux.pictures.levels import Key, Level
from scenelux.pictures.sheet import GREY, Column
from scenelux.pictures.words import (
    counts_sentence,
    limit_text,
    lux_figure,
    plane_text,
    value_text,
)
from scenelux.study.results import AreaResult, StudyResult, VariantResult, VerdictRow
from scenelux.units import LUX_PER_FOOT_CANDLE, UnitSystem, figure

__all__ = [
    "Limit",
    "area_tags",
    "entry_of",
    "lamps_on",
    "limits_drawn",
    "say_level",
    "write_facts",
]

_DARK_LX = 0.1
_WORD_COLOUR = {"meets": "black", "misses": "#9b0000", "not assessed": "#444444"}


@dataclass(frozen=True)
class Limit:
    """An isolux line at the limit of one or more rules."""

    value_lx: float
    label: str


def say_level(result: StudyResult, level: Level) -> str:
    """Duty state and light level in words, with the others that the sheet is valid for."""
    text = _say(result, (level.state, level.light))
    return f"{text}   (the same for: {'; '.join(_say(result, key) for key in level.same)})" if level.same else text


def _say(result: StudyResult, key: Key) -> str:
    return f"{result.states.get(key[0]) or key[0]} · {result.lights.get(key[1]) or key[1]}"


def limits_drawn(variant: VariantResult, level: Level) -> list[Limit]:
    """Limits of confirmed rules on areas on the ground itself at this level, each once, in their printed unit."""
    found: dict[str, Limit] = {}
    ground = {area.area_id for area in variant.areas if _is_ground(area)}
    for row in variant.verdicts:
        lux = row.limit * LUX_PER_FOOT_CANDLE if row.unit == "fc" else row.limit
        applies = row.quantity == "illuminance" and row.unit in ("lx", "fc") and row.subject in ground
        applies = applies and row.source_status != "unconfirmed"
        if applies and lux > 0.0 and (row.state, row.light) in level.keys:
            found.setdefault(f"{lux:.4g}", Limit(lux, _limit_label(lux, row)))
    return sorted(found.values(), key=lambda one: one.value_lx)


def _is_ground(area: AreaResult) -> bool:
    """True when the map shows the same light as the area: on the ground, on a horizontal or pavement plane."""
    return not area.on and abs(area.height_m) < 0.005 and area.plane in ("horizontal", "pavement")


def _limit_label(lux: float, row: VerdictRow) -> str:
    return f"{row.limit:g} fc = {figure(lux)} lx" if row.unit == "fc" else f"{row.limit:g} lx"


def area_tags(variant: VariantResult) -> dict[str, str]:
    """A letter for each area, in the order of the scene."""
    letters = [*ascii_uppercase, *(f"{a}{b}" for a in ascii_uppercase for b in ascii_uppercase)]
    return {one.area_id: letter for one, letter in zip(variant.areas, letters, strict=False)}


def entry_of(area: AreaResult, key: Key) -> int | None:
    """Index of the area's entry for a state and light level."""
    return next((i for i, one in enumerate(area.entries) if (one.state, one.light) == key), None)


def write_facts(column: Column, result: StudyResult, variant: VariantResult, level: Level) -> None:
    """Writes verdict counts, areas with their verdicts, and the other verdicts.

    Parameters
    ----------
    column : where to write.
    result, variant, level : what the sheet shows.
    """
    rows = _once(row for row in variant.verdicts if (row.state, row.light) in level.keys)
    column.line(counts_sentence(rows), 8, bold=True)
    column.space()
    tags, dark = area_tags(variant), []
    for area in variant.areas:
        own = [row for row in rows if row.subject == area.area_id]
        if not own and _is_dark(area, level):
            dark.append(f"{tags[area.area_id]} {area.name}")
            continue
        _write_area(column, result.units, area, tags[area.area_id], level)
        for row in own:
            write_verdict(column, row)
        column.space(0.05)
    if dark:
        column.line(f"Below {_DARK_LX:g} lx and not judged here: {'; '.join(dark)}", 6.5)
        column.space(0.05)
    for row in rows:
        if row.subject not in tags:
            write_verdict(column, row, of=row.subject)


def _is_dark(area: AreaResult, level: Level) -> bool:
    index = entry_of(area, (level.state, level.light))
    return index is not None and area.entries[index].maintained.maximum < _DARK_LX


def _write_area(column: Column, units: UnitSystem, area: AreaResult, tag: str, level: Level) -> None:
    column.line(f"{tag}  {area.name}", 7.5, bold=True)
    column.line(f"{plane_text(area, units)} · maintained", 6.5, indent=0.15, color=GREY)
    index = entry_of(area, (level.state, level.light))
    if index is None:
        return
    found = area.entries[index].maintained
    if not found.valid_points:
        column.line(f"no valid point of {found.all_points}: all under or inside a body", 7, indent=0.15)
        return
    least, mean, most = (lux_figure(value) for value in (found.minimum, found.average, found.maximum))
    column.line(f"min {least}, average {mean}, max {most} lx", 7, indent=0.15)


def write_verdict(column: Column, row: VerdictRow, of: str = "") -> None:
    """Writes one verdict with its value and limit."""
    colour = _WORD_COLOUR[row.verdict]
    column.line(" ".join((row.verdict.upper(), "", row.rule, of)), 7, bold=True, indent=0.15, color=colour)
    column.line(f"{row.statistic} {value_text(row)}, limit {limit_text(row)}", 6.5, indent=0.25)
    if row.inside_uncertainty and row.verdict != "not assessed":
        column.line("margin inside data uncertainty", 6.5, bold=True, indent=0.25)


def lamps_on(variant: VariantResult, level: Level) -> list[str]:
    """The lamps that are on, those alike together, with their level and their aim on the vehicle."""
    share = dict(zip(variant.map.lamp_ids, variant.map.levels[level.state, level.light].tolist(), strict=True))
    groups: dict[tuple[str, float, float, float], int] = {}
    for lamp in variant.lamps:
        if share.get(lamp.lamp_id, 0.0) > 0.0:
            key = (lamp.luminaire, lamp.heading_deg, lamp.tilt_deg, share[lamp.lamp_id])
            groups[key] = groups.get(key, 0) + 1
    return [
        f"{count} × {luminaire}: {100 * share_on:.3g} %, heading {heading:g}°, tilt {tilt:g}°"
        for (luminaire, heading, tilt, share_on), count in groups.items()
    ]


def _once(rows: Iterable[VerdictRow]) -> list[VerdictRow]:
    """Verdicts of states and lights that share a sheet, each rule and subject once, the worst of them."""
    order = {"misses": 0, "not assessed": 1, "meets": 2}
    kept: dict[tuple[str, str], VerdictRow] = {}
    for row in rows:
        key = (row.rule, row.subject)
        if key not in kept or order[row.verdict] < order[kept[key].verdict]:
            kept[key] = row
    return list(kept.values())
