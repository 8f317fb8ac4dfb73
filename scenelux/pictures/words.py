"""Numbers and verdicts in words: one rounding for pictures, terminal, pages and JSON."""

from __future__ import annotations

import math
from collections.abc import Iterable
from pathlib import PurePath

from scenelux.study.results import AreaResult, StudyResult, VariantResult, VerdictRow
from scenelux.study.results.signal_facts import SignalVerdict
from scenelux.units import LUX_PER_FOOT_CANDLE, UnitSystem, figure, format_length

__all__ = [
    "comparison",
    "count_verdicts",
    "counts_sentence",
    "data_classes",
    "illuminance",
    "illuminance_cell",
    "illuminance_units",
    "limit_text",
    "lux_figure",
    "plane_text",
    "source_line",
    "unit_text",
    "value_text",
    "variant_title",
    "where",
]

DIMMEST_LX = 0.001
_UNIT_TEXT = {"1/min": "a minute", "1": "", "cd/m2": "cd/m²"}


def unit_text(unit: str) -> str:
    """A unit as printed, with the space before it.

    Example
    -------
    >>> unit_text("cd/m2"), unit_text("1"), unit_text("lx")
    (' cd/m²', '', ' lx')
    """
    shown = _UNIT_TEXT.get(unit, unit)
    return f" {shown}" if shown else ""


def lux_figure(value_lx: float) -> str:
    """Lux in three figures; what no meter reads is said to be below that.

    Example
    -------
    >>> lux_figure(31.416), lux_figure(2.8e-6), lux_figure(0.0)
    ('31.4', 'below 0.001', '0')
    """
    return f"below {DIMMEST_LX:g}" if 0.0 < value_lx < DIMMEST_LX else figure(value_lx)


def illuminance(value_lx: float, units: UnitSystem) -> str:
    """Lux, and for US documents footcandles beside it.

    Example
    -------
    >>> illuminance(263.2, "metric"), illuminance(263.2, "us"), illuminance(1e-7, "us")
    ('263 lx', '263 lx (24.5 fc)', 'below 0.001 lx')
    """
    text = lux_figure(value_lx)
    if not math.isfinite(value_lx):
        return text
    if 0.0 < value_lx < DIMMEST_LX:
        return f"{text} lx"
    return f"{text} lx ({figure(value_lx / LUX_PER_FOOT_CANDLE)} fc)" if units == "us" else f"{text} lx"


def illuminance_cell(value_lx: float, units: UnitSystem) -> str:
    """The same without units, for a table whose title names them.

    Example
    -------
    >>> illuminance_cell(263.2, "metric"), illuminance_cell(263.2, "us")
    ('263', '263 (24.5)')
    """
    return illuminance(value_lx, units).replace(" lx", "").replace(" fc", "")


def illuminance_units(units: UnitSystem) -> str:
    """Units of `illuminance_cell`.

    Example
    -------
    >>> illuminance_units("metric"), illuminance_units("us")
    ('lx', 'lx (fc)')
    """
    return "lx (fc)" if units == "us" else "lx"


def where(point_m: tuple[float, float, float] | None, units: UnitSystem) -> str:
    """A point of the site frame in words, or nothing.

    Example
    -------
    >>> where((-3.048, -1.524, 0.0), "us"), where((2.0, 0.0, 1.5), "metric"), where(None, "us")
    ('along -10 ft, right 5 ft', 'along 2.00 m, left 0.00 m, up 1.50 m', '')
    """
    if point_m is None:
        return ""
    along, left, up = point_m
    side = "left" if left > -5e-4 else "right"
    parts = [f"along {format_length(along, units)}", f"{side} {format_length(abs(left), units)}"]
    return ", ".join([*parts, f"up {format_length(up, units)}"] if abs(up) >= 0.005 else parts)


def plane_text(area: AreaResult, units: UnitSystem) -> str:
    """Plane, direction and height of an area's points, above the ground or above the body that they lie on.

    Parameters
    ----------
    area : the area.
    units : "metric" or "us".
    """
    plane = " ".join(part for part in (area.plane, area.facing) if part)
    if abs(area.height_m) < 0.005:
        return f"{plane}, on the {area.on or 'ground'}"
    height = format_length(area.height_m, units)
    return f"{plane}, {height} above the {area.on}" if area.on else f"{plane}, {height} up"


def value_text(row: VerdictRow | SignalVerdict) -> str:
    """The value of a verdict with its unit, in as many figures as the limit needs."""
    if not math.isfinite(row.value):
        return "none" if row.value == -math.inf else figure(row.value)
    return f"{figure(row.value, row.limit)}{unit_text(row.unit)}"


def limit_text(row: VerdictRow | SignalVerdict) -> str:
    """The limit of a verdict in its printed unit."""
    if math.isnan(row.limit):
        return "no limit stated"
    return f"{row.sense} {row.limit:g}{unit_text(row.unit)}"


def count_verdicts(rows: Iterable[VerdictRow | SignalVerdict]) -> dict[str, int]:
    """How many verdicts there are of each kind; all three words are always present."""
    words = [row.verdict for row in rows]
    return {word: words.count(word) for word in ("meets", "misses", "not assessed")}


def counts_sentence(rows: Iterable[VerdictRow | SignalVerdict]) -> str:
    """Verdicts and rules counted in one line, which never says that all is met while one is not assessed.

    Example
    -------
    >>> counts_sentence([])
    'no rule was applied'
    """
    verdicts = list(rows)
    counts, rules = count_verdicts(verdicts), len({row.rule for row in verdicts})
    meets, misses, open_ones = counts["meets"], counts["misses"], counts["not assessed"]
    if not verdicts:
        return "no rule was applied"
    text = f"{meets} {'verdict meets' if meets == 1 else 'verdicts meet'}, {misses} miss, {open_ones} not assessed"
    text += f" ({rules} {'rule' if rules == 1 else 'rules'})"
    return text if misses or open_ones else f"{text}: every rule applied is met"


def comparison(first: float, second: float) -> str:
    """The second value as a share of the first.

    Example
    -------
    >>> comparison(2.0, 0.76), comparison(0.0, 1.0), comparison(0.0, 0.0)
    ('0.38', 'none before', 'none in either')
    """
    if not (math.isfinite(first) and math.isfinite(second)):
        return "not valid"
    if first == 0.0:
        return "none before" if second else "none in either"
    return figure(second / first)


def data_classes(result: StudyResult, variant: VariantResult | None = None) -> str:
    """The data classes of the luminaires of a study or of one variant, weakest first."""
    used = {lamp.luminaire for lamp in variant.lamps} if variant else None
    classes = {one.data_class for one in result.luminaires if used is None or one.name in used}
    order = ("fitted from one figure", "fitted from several figures", "measured file")
    ranks = {name: rank for rank, name in enumerate(order)}
    # "..., required minimum" comes before the same without it
    weakest = sorted(classes, key=lambda one: (ranks.get(one.split(", ")[0], len(order)), -len(one), one))
    text = ", ".join(weakest) or "not stated"
    return f"{text} (invented demonstration data)" if result.demonstration else text


def variant_title(result: StudyResult, variant: VariantResult) -> str:
    """Name of a variant and what it is, unless that only repeats the title."""
    return variant.name if variant.say in ("", result.title) else f"{variant.name}: {variant.say}"


def source_line(result: StudyResult, command: str = "study") -> str:
    """Where the numbers of a sheet come from: the scene and its first input files with their check sums.

    Parameters
    ----------
    result : the study, or what another job says of its scene.
    command : which job it was.
    """
    ordered = sorted(result.inputs, key=lambda one: PurePath(one.file).stem != PurePath(result.scene_name).stem)
    files = "; ".join(f"{one.file} ({one.sha256[:8]})" for one in ordered[:2])
    more = f" and {len(ordered) - 2} more, listed in the report" if len(ordered) > 2 else ""
    return f"Source: scenelux {command} of {result.scene_name}. Inputs (sha256): {files or 'none recorded'}{more}."
