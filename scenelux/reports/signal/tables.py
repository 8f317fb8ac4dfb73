"""Flashing lamps as tables for a spreadsheet: everything by direction, and the levels of lamps over the cycle."""

from __future__ import annotations

from collections.abc import Iterator

from scenelux.reports.tables import csv_bytes
from scenelux.study.results.signal import SignalCase, SignalStudy, SignalVariant

__all__ = ["signal_table_files"]

Row = list[str | float]

WHERE = ("variant", "state", "light")


def signal_table_files(study: SignalStudy) -> Iterator[tuple[str, bytes]]:
    """Every table with its name.

    Parameters
    ----------
    study : all variants.
    """
    effective = [f"effective_{model.replace('-', '_')}_cd" for model in study.models]
    header = (
        *WHERE, "ring", "elevation_deg", "eye_height_m", "heading_deg", "lamps", "peak_cd", "mean_cd", "darkest_cd",
        *effective, "optical_power_cd_s_per_min", "flash_rate_hz", "longest_lit_s", "dark_share", "longest_dark_s",
    )  # fmt: skip
    yield "directions.csv", csv_bytes(header, (row for one in _cases(study) for row in _directions(study, *one)))
    header = (*WHERE, "lamp", "circuit", "clock", "from_s", "to_s", "level")
    yield "levels.csv", csv_bytes(header, (row for one in _cases(study) for row in _levels(*one)))


def _cases(study: SignalStudy) -> Iterator[tuple[SignalVariant, SignalCase]]:
    for variant in study.variants:
        for case in variant.cases:
            yield variant, case


def _directions(study: SignalStudy, variant: SignalVariant, case: SignalCase) -> Iterator[Row]:
    for one in case.measures:
        ring = variant.ring(one.ring_id)
        series = (
            ring.heading_deg, one.peak_cd, one.mean_cd, one.least_cd, *(one.effective_cd[m] for m in study.models),
            one.power_cd_s_per_min, one.flash_rate_hz, one.longest_lit_s, one.dark_share, one.longest_dark_s,
        )  # fmt: skip
        head: Row = [variant.name, case.state, case.light, ring.ring_id, ring.elevation_deg, ring.height_m]
        for heading, *values in zip(*(part.tolist() for part in series), strict=True):
            yield [*head, heading, one.group, *values]


def _levels(variant: SignalVariant, case: SignalCase) -> Iterator[Row]:
    """Lamps that are on; one that burns steadily has one row."""
    head: Row = [variant.name, case.state, case.light]
    for at, lamp in enumerate(case.lamps):
        if lamp.level <= 0.0:
            continue
        who: Row = [*head, lamp.lamp_id, lamp.circuit, lamp.clock]
        levels = case.levels[at].tolist()
        ends = [k for k in range(1, len(levels)) if levels[k] != levels[k - 1]]
        for first, last in zip([0, *ends], [*ends, len(levels)], strict=True):
            yield [*who, float(case.times_s[first]), float(case.times_s[last]), levels[first]]
