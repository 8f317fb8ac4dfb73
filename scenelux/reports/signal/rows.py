"""Flashing lamps as tables of text: verdicts, what each side sees, patterns, synchronisation, safety, colours."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from scenelux.pictures.words import counts_sentence, limit_text, value_text
from scenelux.reports.rows import margin_text
from scenelux.reports.signal.arcs import arc_words
from scenelux.reports.signal.cases import Key, Rows, case_table, where_words
from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results.signal import SignalCase, SignalStudy, SignalVariant
from scenelux.study.results.signal_facts import (
    ArrowFacts,
    MotionFacts,
    PhaseSpread,
    SafetyFact,
    SignalDirection,
    SignalVerdict,
    SyncFacts,
)
from scenelux.units import figure, format_distance

__all__ = ["opening_lines", "said_lines", "short_tables", "signal_tables"]

ORDER = {"misses": 0, "not assessed": 1, "meets": 2}
RINGS = ("far0", "near1.08")
"""Rings that tables show: level and far away, and the eyes of car drivers near by."""

SEEN_CD = 1.0

COVERAGE = (
    "directions",
    STATE_AND_LIGHT,
    "peak [cd]",
    "effective [cd]",
    "least effective at",
    "flashes a minute",
    "longest dark [s]",
    "dark [% of time]",
    "unseen",
)


def opening_lines(study: SignalStudy) -> list[str]:
    """What is met and missed in each variant.

    Parameters
    ----------
    study : all variants.
    """
    several = len(study.variants) > 1
    return [
        f"{one.name}: {line}" if several else line
        for one in study.variants
        for line in (counts_sentence(one.verdicts), *_attention(study, one))
    ]


def _attention(study: SignalStudy, variant: SignalVariant) -> Iterator[str]:
    """What no verdict need speak of: sides that see no flash, and steady lamps that outshine it."""
    ring = variant.ring(RINGS[0])
    unseen, outshone = [], []
    for case in variant.cases:
        flash = case.measures_of(ring.ring_id, "flashing").peak_cd
        off = ~case.flashing
        steady = case.levels[off].max(axis=1, initial=0.0) @ ring.by_lamp_cd[off]
        key = (case.state, case.light)
        unseen.append((int((flash < SEEN_CD).sum()), arc_words(ring.heading_deg, flash < SEEN_CD), key))
        outshone.append((int(((flash >= SEEN_CD) & (steady > flash)).sum()), key))
    of = f"of {len(ring.heading_deg)} directions, {ring.says}"
    most, sides, key = max(unseen, key=lambda one: one[0])
    if most:
        yield f"In {most} {of}, nobody sees a flash: {sides} ({where_words(study, variant, [key])})."
    most, key = max(outshone, key=lambda one: one[0])
    if most:
        yield f"In {most} {of}, steady lamps outshine the flash ({where_words(study, variant, [key])})."


def signal_tables(study: SignalStudy, variant: SignalVariant) -> list[Table]:
    """The tables of one variant that have rows, verdicts first.

    Parameters
    ----------
    study : for words.
    variant : one of it.
    """
    tables = [
        _verdicts(study, variant),
        _coverage(study, variant),
        _zones(study, variant),
        _patterns(study, variant),
        _synchrony(study, variant),
        _arrows(study, variant),
        _safety(study, variant),
        _colours(variant),
    ]
    return [table for table in tables if table.rows]


def short_tables(study: SignalStudy, variant: SignalVariant) -> list[Table]:
    """The same for a narrow window: verdicts and what each side sees.

    Parameters
    ----------
    study : for words.
    variant : one of it.
    """
    tables = [
        _only(_verdicts(study, variant), ("verdict", "rule", STATE_AND_LIGHT, "found", "limit")),
        _only(_coverage(study, variant), COVERAGE[:4] + COVERAGE[5:7] + COVERAGE[8:]),
    ]
    return [table for table in tables if table.rows]


def _only(table: Table, names: Sequence[str]) -> Table:
    """Some columns of a table; of directions that are counted their number."""
    keep = [table.header.index(name) for name in names]
    rows = tuple(tuple(row[at].partition(": ")[0] if names[-1] == "unseen" else row[at] for at in keep)
                 for row in table.rows)  # fmt: skip
    return Table(table.title, tuple(names), rows, table.note)


def said_lines(study: SignalStudy, variant: SignalVariant) -> list[str]:
    """Sentences on synchronisation, arrow boards, motion and flash safety, each once.

    Parameters
    ----------
    study : for words.
    variant : one of it.
    """
    lines: dict[str, list[Key]] = {}
    for case in variant.cases:
        facts: tuple[SyncFacts | ArrowFacts | MotionFacts | SafetyFact, ...] = (
            *case.synchrony, *case.arrows, *case.motion, *case.safety,
        )  # fmt: skip
        for line in (*(one.says for one in facts), *case.notes):
            lines.setdefault(line, []).append((case.state, case.light))
    every = len(variant.cases)
    return [
        line if len(keys) == every else f"{line} ({where_words(study, variant, keys)})" for line, keys in lines.items()
    ]


def _verdicts(study: SignalStudy, variant: SignalVariant) -> Table:
    ordered = sorted(variant.verdicts, key=lambda row: ORDER[row.verdict])
    return case_table(
        study,
        variant,
        "Verdicts",
        ("verdict", "rule", "lamps", "where", STATE_AND_LIGHT, "found", "limit", "margin", "why"),
        [_verdict_cells(row) for row in ordered],
        "Each limit holds for the quantity of its document: effective, mean and on-state intensity are not the same.",
    )


def _verdict_cells(row: SignalVerdict) -> tuple[str | Key, ...]:
    source = ", ".join(part for part in (row.source_title, row.edition, row.clause) if part)
    quantity = f"{row.quantity}{f' ({row.model})' if row.model else ''}"
    return (
        row.verdict,
        f"{row.rule} ({source}; {row.source_status}): {row.says}",
        row.subject,
        row.where + _worst(row.worst),
        (row.state, row.light),
        f"{quantity} {value_text(row)}",
        limit_text(row) if row.limit > 0.0 or row.sense == "at most" else "some light",
        margin_text(row),
        row.because,
    )


def _worst(at: SignalDirection) -> str:
    """About the vehicle a heading; about the axis of a lamp a side."""
    if not math.isnan(at.right_deg):
        side = f"{abs(at.right_deg):g} deg {'right' if at.right_deg > 0.0 else 'left'} of its axis"
        return f"; worst at {side if at.right_deg else 'its axis'}, {at.up_deg:g} deg up"
    if math.isnan(at.heading_deg):
        return ""
    up = "" if math.isnan(at.elevation_deg) else f", {at.elevation_deg:g} deg up"
    return f"; worst at heading {at.heading_deg:g} deg{up}"


def _coverage(study: SignalStudy, variant: SignalVariant) -> Table:
    rows = [cells for ring in RINGS for case in variant.cases for cells in _ring_cells(study, variant, case, ring)]
    return case_table(
        study,
        variant,
        f"What each side sees of the lamps that flash ({study.models[0]})",
        COVERAGE,
        rows,
        f"Least to greatest over the directions; dark is below {100.0 * study.dark_fraction:g} % of the mean there. "
        f"Where the peak is below {SEEN_CD:g} cd a direction counts as unseen and is left out: a choice.",
    )


def _ring_cells(study: SignalStudy, variant: SignalVariant, case: SignalCase, ring_id: str) -> Rows:
    ring, found = variant.ring(ring_id), case.measures_of(ring_id, "flashing")
    effective = found.effective_cd[study.models[0]]
    lit = found.peak_cd >= SEEN_CD
    if not lit.any():
        return
    unseen = int((~lit).sum())
    least = int(np.flatnonzero(lit)[effective[lit].argmin()])
    yield (
        ring.says,
        (case.state, case.light),
        _range(found.peak_cd[lit].tolist()),
        _range(effective[lit].tolist()),
        f"{ring.heading_deg[least]:g} deg",
        _range((60.0 * found.flash_rate_hz[lit]).tolist()),
        _range(found.longest_dark_s[lit].tolist()),
        _range((100.0 * found.dark_share[lit]).tolist()),
        f"{unseen} of {len(lit)}: {arc_words(ring.heading_deg, ~lit)}" if unseen else "none",
    )


def _range(values: Sequence[float]) -> str:
    known = [value for value in values if math.isfinite(value)]
    if not known:
        return "no value"
    low, high = figure(min(known)), figure(max(known))
    return low if low == high else f"{low} to {high}"


def _zones(study: SignalStudy, variant: SignalVariant) -> Table:
    rows = [
        (
            f"{zone.zone} {zone.name}",
            (case.state, case.light),
            f"{figure(zone.least)} at {zone.least_heading_deg:g} deg",
            figure(zone.mean),
            figure(zone.greatest),
            f"{figure(zone.sum_of_points)} over {zone.points}",
        )
        for case in variant.cases
        for zone in case.zones
    ]
    header = ("zone", STATE_AND_LIGHT, "least, level", "mean, level", "greatest, level", "sum of all points")
    note = "Lamps that flash; zones parted at 45 deg (unconfirmed): told, never judged."
    return case_table(study, variant, "Optical power by zone [cd s/min]", header, rows, note)


def _patterns(study: SignalStudy, variant: SignalVariant) -> Table:
    rows: list[tuple[str | Key, ...]] = []
    for case in variant.cases:
        alike: dict[tuple[str, ...], list[str]] = {}
        for lamp in case.lamps:
            if lamp.flashing:
                length = float(lamp.edges_s[-1] - lamp.edges_s[0])
                lit = float(np.diff(lamp.edges_s) @ (lamp.levels > 0.0))
                key = (lamp.circuit, lamp.pattern, f"{length:g} s", f"{lamp.phase_s:g} s", lamp.clock,
                       f"{figure(100.0 * lamp.level)} %", f"{lit:.4g} s")  # fmt: skip
                alike.setdefault(key, []).append(lamp.lamp_id)
        rows += [(", ".join(names), (case.state, case.light), *key) for key, names in alike.items()]
    header = ("lamps", STATE_AND_LIGHT, "circuit", "pattern", "cycle", "later by", "clock", "level", "lit in a cycle")
    return case_table(study, variant, "Patterns", header, rows)


def _synchrony(study: SignalStudy, variant: SignalVariant) -> Table:
    rows = [
        (
            f"{one.first} / {one.second}",
            (case.state, case.light),
            "one clock" if one.same_clock else "clocks of their own",
            _percent(one.both_dark),
            _percent(one.both_lit),
            _over(one.longest_dark_s, 1.0),
            _over(one.flashes_per_s, 60.0),
            one.says,
        )
        for case in variant.cases
        for one in case.synchrony
    ]
    header = (
        "lamps",
        STATE_AND_LIGHT,
        "timed by",
        "both dark",
        "both lit",
        "longest dark [s]",
        "flashes a minute",
        "in words",
    )
    note = "Of clocks that run apart: least, mean and greatest over all phases, each as likely as any other."
    return case_table(study, variant, "Synchronisation", header, rows, note)


def _percent(one: PhaseSpread) -> str:
    return f"{_over(one, 100.0)} %"


def _over(one: PhaseSpread, factor: float) -> str:
    values = [figure(round(factor * value, 9)) for value in (one.least, one.mean, one.greatest)]
    return values[0] if len(set(values)) == 1 else "; ".join(values)


def _arrows(study: SignalStudy, variant: SignalVariant) -> Table:
    units = study.about.units
    rows = [
        (
            board.circuit,
            (case.state, case.light),
            board.mode,
            f"{figure(board.rate_per_min)}{'' if board.rate_holds else ', not as stated'}",
            f"{_range([100.0 * share for share in board.on_shares])}{'' if board.shares_hold else ', not as stated'}",
            f"{board.elements}",
            "; ".join(
                f"{name}: {format_distance(metres, units)} with {least} lamps or more"
                for name, (metres, least, _) in board.legibility.items()
            ),
            f"{board.source_title} ({board.source_status})",
        )
        for case in variant.cases
        for board in case.arrows
    ]
    header = ("circuit", STATE_AND_LIGHT, "mode", "a minute", "on [%]", "lamps", "legible by type", "stated by")
    return case_table(study, variant, "Arrow boards", header, rows)


def _safety(study: SignalStudy, variant: SignalVariant) -> Table:
    rows = [
        (one.screen, (case.state, case.light), one.says, f"{one.source_title} ({one.source_status})")
        for case in variant.cases
        for one in (*case.safety,)
    ]
    note = "Told, never judged: a lamp rule may allow a rate above the screen."
    return case_table(study, variant, "Flash safety", ("screen", STATE_AND_LIGHT, "found", "source"), rows, note)


def _colours(variant: SignalVariant) -> Table:
    rows = tuple((one.luminaire, one.region, one.verdict, one.says) for one in variant.colours)
    return Table("Colours of the lamps that flash", ("luminaire", "region", "inside", "in words"), rows)
