"""Switching as tables of text: properties, evenings, state matrix, load, own light at the sensor, rules."""

from __future__ import annotations

import math
from collections.abc import Iterator

from scenelux.pictures.words import illuminance_cell, illuminance_units
from scenelux.reports.dusk.words import clock, evening_line, hours, levels_words, span_words
from scenelux.reports.tabling import Table
from scenelux.study.results.dusk import DuskResult, PropertyVerdict, Timeline
from scenelux.study.results.matrix import MatrixRow
from scenelux.units import figure, illuminance_unit, illuminance_value

__all__ = ["dusk_tables", "evening_table", "load_table", "matrix_table", "property_table"]

_ORDER = {"broken": 0, "not assessed": 1, "never applies": 2, "holds": 3}
SAYS = "counter-example, or reason"

LOAD_HEADER = (
    "state, light",
    "current [A]",
    "left at idle [A]",
    "left driving [A]",
    "battery, engine off",
    "battery, at idle",
    "goes first at idle",
    "notes",
)

_MOST_CHANGES = 12
"""Changes of an evening that the table shows; the CSV holds all."""


def dusk_tables(result: DuskResult) -> tuple[Table, ...]:
    """Every table of the page, in order.

    Parameters
    ----------
    result : of the switching.
    """
    tables = [property_table(result), evening_table(result), *_changes(result), matrix_table(result)]
    tables += [load_table(result), _circuit_table(result), _sensor_table(result), _rule_table(result)]
    return tuple(table for table in tables if table.rows)


def property_table(result: DuskResult, *, short: bool = False) -> Table:
    """What was stated and whether it holds; broken ones first.

    Parameters
    ----------
    result : of the switching.
    short : without stories and reasons.
    """
    ordered = sorted(result.check.verdicts, key=lambda one: _ORDER[one.verdict])
    header: tuple[str, ...] = ("verdict", "property", "stated", "worst value", "combinations")
    rows: list[tuple[str, ...]] = [
        (one.verdict, one.property_id, one.states, _worst(result, one), f"{one.combinations:,}") for one in ordered
    ]
    if not short:
        header = (*header, SAYS)
        rows = [(*row, one.story or one.because) for row, one in zip(rows, ordered, strict=True)]
    return Table(
        "Stated properties",
        header,
        tuple(rows),
        f"{result.check.says} Each was looked at, with every reachable state of the sensor.",
    )


def _worst(result: DuskResult, one: PropertyVerdict) -> str:
    if math.isnan(one.worst):
        return ""
    if one.unit == "lx" and result.about.units == "us":
        return f"{figure(one.worst)} lx ({figure(illuminance_value(one.worst, 'us'))} {illuminance_unit('us')})"
    return f"{figure(one.worst)} {one.unit}"


def evening_table(result: DuskResult) -> Table:
    """Every evening: turns, flutters, time at each set of levels.

    Parameters
    ----------
    result : of the switching.
    """
    rows = tuple((one.name, one.says, evening_line(one), _times(one)) for one in result.timelines)
    within = f"{result.timelines[0].within_s:g} s" if result.timelines else ""
    note = f"A turn that undoes the one before within {within} is a flutter." if rows else ""
    return Table("Evenings", ("evening", "what happens", "levels", "time at levels"), rows, note)


def _times(one: Timeline) -> str:
    return "; ".join(f"{part.name}: {span_words(part.seconds)}" for part in one.times)


def _changes(result: DuskResult) -> Iterator[Table]:
    for one in result.timelines:
        rows = tuple(
            (clock(one, change.time_s), f"{change.time_s:.2f}", figure(change.ambient_lx), change.reads, change.name,
             levels_words(change.levels))
            for change in one.changes[:_MOST_CHANGES]
        )  # fmt: skip
        more = len(one.changes) - len(rows)
        note = f"{more:,} more changes are in timeline.csv." if more else f"Meanwhile: {one.inputs}."
        header = ("UTC", "after the start [s]", "ambient [lx]", "sensor reads", "levels of", "circuits")
        yield Table(f"Levels in the evening: {one.name}", header, rows, note)


def matrix_table(result: DuskResult) -> Table:
    """State, light level, circuits, least and average light, worst veil, current.

    Parameters
    ----------
    result : of the switching.
    """
    units = result.about.units
    first = result.matrix[0]
    areas = tuple(f"{area.name} [{illuminance_units(units)}]" for area in first.areas)
    eyes = tuple(f"veil: {eye.name} [cd/m2]" for eye in first.eyes)
    rows = tuple(_matrix_row(row, result) for row in result.matrix)
    return Table(
        "State matrix: least / average maintained light, worst initial veil",
        ("state, light", "made by", "circuits", *areas, *eyes, "current [A]"),
        rows,
        "The worst veil is that of all gazes and stations. The current is that of all circuits and other loads.",
    )


def _matrix_row(row: MatrixRow, result: DuskResult) -> tuple[str, ...]:
    units = result.about.units
    areas = [
        f"{illuminance_cell(one.least_lx, units)} / {illuminance_cell(one.average_lx, units)}" for one in row.areas
    ]
    eyes = [figure(one.veil_cd_m2) for one in row.eyes]
    current = figure(row.load.current_a) if row.load else "no supply stated"
    made_by = row.story if row.reached else "never made by the rules"
    return (row.name, made_by, levels_words(row.levels), *areas, *eyes, current)


def load_table(result: DuskResult, *, short: bool = False) -> Table:
    """What each row of the matrix takes from alternator and battery.

    Parameters
    ----------
    result : of the switching.
    short : duty states alone, levels that are the same once, without notes.
    """
    rows: tuple[tuple[str, ...], ...] = _load_rows(result)
    header: tuple[str, ...] = LOAD_HEADER
    if short:
        first = {tuple(row.levels.values()): row.name for row in reversed(result.matrix) if row.state}
        rows, header = tuple(row[:-1] for row in rows if row[0] in first.values()), header[:-1]
    return Table("Electrical load", header, rows, f"{result.supply}." if result.supply else "")


def _load_rows(result: DuskResult) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            row.name,
            figure(row.load.current_a),
            _signed(row.load.idle_spare_a),
            _signed(row.load.driving_spare_a),
            hours(row.load.battery_h),
            hours(row.load.idle_battery_h),
            ", ".join(row.load.shed) or "none",
            "; ".join(row.load.notes),
        )
        for row in result.matrix
        if row.load is not None
    )


def _signed(value: float) -> str:
    return f"{value:+.1f}" if math.isfinite(value) else "not valid"


def _circuit_table(result: DuskResult) -> Table:
    rows = tuple(
        (row.name, one.circuit, f"{100.0 * one.level:.3g} %",
         row.settings.get(one.circuit, "not stated"), _known(one.power_w), _known(one.current_a),
         _known(one.drop_v), _known(one.lamp_v), _share(one.light_share), _known(one.peak_cd))
        for row in result.matrix if row.load is not None and row.reached
        for one in row.load.circuits
    )  # fmt: skip
    header = ("state, light", "circuit", "level", "set to", "power [W]", "current [A]", "drop [V]", "at the lamps [V]",
              "light left", "brightest lamp [cd]")  # fmt: skip
    note = (
        "At idle, of steady light. Light left: of the candela stated for the level, at that voltage; the last column "
        "is the peak that is left. A level is light: set to tells the duty, voltage or current that gives it."
    )
    return Table("Currents and drops along the harness", header, rows, note, shown=12)


def _known(value: float) -> str:
    return "not stated" if math.isnan(value) else figure(value)


def _share(value: float) -> str:
    return "not stated" if math.isnan(value) else f"{100.0 * value:.3g} %"


def _sensor_table(result: DuskResult) -> Table:
    sensor = result.sensor
    if sensor is None:
        return Table("Own light at the sensor", ("circuit", "reading [lx]"), ())
    rows = tuple((name, figure(lux)) for name, lux in sensor.own_lx.items())
    note = f"{sensor.says}. It reads {100.0 * sensor.view_factor:.3g} % of the natural light on level ground."
    return Table("Own light at the sensor, at full output", ("circuit", "reading [lx]"), rows, note)


def _rule_table(result: DuskResult) -> Table:
    rows = tuple((name, says) for name, says in result.rules.items())
    note = "From the top the first rule that holds and names a circuit decides; factors multiply."
    return Table("Rules", ("rule", "gives"), rows, note)
