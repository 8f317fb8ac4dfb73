"""Flashing lamps of an invented truck, made by hand in plain numpy, for tests of pictures of signals."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import IDENTITY
from scenelux.sources import CAUTIONS
from scenelux.study.results import (
    BodyDrawing,
    InputFile,
    LampDrawing,
    LuminaireFacts,
    SiteDrawing,
    StudyResult,
)
from scenelux.study.results.signal import (
    RingMeasures,
    SignalCase,
    SignalLamp,
    SignalRing,
    SignalStudy,
    SignalVariant,
    SignalVerdict,
)
from scenelux.study.results.signal_facts import SignalDirection

Array = NDArray[np.float64]

FOOT = 0.3048
BOXES = (
    ("box", (0.0, 17.0), (-4.0, 4.0), (1.5, 9.0)),
    ("cab", (17.0, 24.0), (-4.0, 4.0), (1.5, 8.0)),
    ("bumper", (-1.0, 0.0), (-4.0, 4.0), (1.5, 2.5)),
)
MIDDLE_M = (11.5 * FOOT, 0.0, 0.0)

# name, kind, circuit, place [m], heading [deg]
LAMPS = (
    ("rear-left", "warning", "rear warning", (-0.02, 1.1, 2.6), 180.0),
    ("rear-right", "warning", "rear warning", (-0.02, -1.1, 2.6), 180.0),
    ("side-left", "warning", "side warning", (2.6, 1.23, 2.6), 90.0),
    ("side-right", "warning", "side warning", (2.6, -1.23, 2.6), 270.0),
    ("front-left", "warning", "front warning", (7.33, 0.9, 2.3), 0.0),
    ("front-right", "warning", "front warning", (7.33, -0.9, 2.3), 0.0),
    ("tail-flood", "flood", "tail scene", (-0.02, 0.0, 2.3), 180.0),
)
PEAK_CD, FLOOD_CD, SPILL_CD = 900.0, 2500.0, 1.5
NIGHT = 0.4
ON_S, CYCLE_S = 0.1, 0.8


def pulses(phase_s: float) -> tuple[Array, Array]:
    """Two pulses of 0.1 s with a gap of 0.1 s, once in 0.8 s; own edges and levels, the phase counted in."""
    times = np.round(np.arange(9) * ON_S, 9)
    lit = np.isin(np.arange(8), [(round(phase_s / ON_S) + step) % 8 for step in (0, 2)])
    return times, lit.astype(np.float64)


def towards(heading_deg: Array, elevation_deg: float) -> Array:
    """(lamps, directions) at full output: beams of 40 deg about their headings, with a little spill all round."""
    rows = []
    for name, kind, _, _, heading in LAMPS:
        turn = (heading_deg - heading + 180.0) % 360.0 - 180.0
        away = (turn / 26.0) ** 2 + (elevation_deg / 7.0) ** 2
        peak = FLOOD_CD if kind == "flood" else PEAK_CD
        beam = peak * np.exp(-away)
        rows.append(beam + (SPILL_CD if name.startswith("rear") else 0.0) * (np.abs(turn) < 90.0))
    return np.array(rows)


def ring(elevation_deg: float) -> SignalRing:
    headings = np.arange(0.0, 360.0, 5.0)
    words = (
        "level"
        if elevation_deg == 0.0
        else f"{abs(elevation_deg):g} deg {'above' if elevation_deg > 0 else 'below'} level"
    )
    by_lamp = towards(headings, elevation_deg)
    name = f"far{elevation_deg:+g}" if elevation_deg else "far0"
    return SignalRing(
        name, f"far away, {words}", "far", elevation_deg, np.nan, 1e4, headings, np.zeros((72, 3)), by_lamp,
        by_lamp < 0.0,
    )  # fmt: skip


def near(height_m: float) -> SignalRing:
    headings = np.arange(0.0, 360.0, 5.0)
    by_lamp = towards(headings, -np.degrees(np.arctan2(2.5 - height_m, 25.0)))
    return SignalRing(
        f"near{height_m:g}", f"eyes {height_m:g} m up, 25 m away", "near", np.nan, height_m, 25.0, headings,
        np.zeros((72, 3)), by_lamp, by_lamp < 0.0,
    )  # fmt: skip


RINGS = (*(ring(elevation) for elevation in (-8.0, -4.0, 0.0, 4.0, 8.0)), near(1.08), near(1.8), near(2.33))


def lamp(number: int, level: float) -> SignalLamp:
    name, kind, circuit, _, _ = LAMPS[number]
    if kind == "flood":
        return SignalLamp(
            name, kind, circuit, "truck", "truck", level, "steady", False, 0.0, np.array([0.0, 1.0]), np.array([level])
        )
    phase = {"rear": 0.0, "side": 0.4, "fron": 0.0}[name[:4]] + (0.1 if name.endswith("right") else 0.0)
    edges, lit = pulses(phase)
    words = "75 per minute: 2 x (on 100 ms, off 100 ms), off"
    return SignalLamp(name, kind, circuit, "truck", "truck", level, words, level > 0.0, phase, edges, lit * level)


def measures(case: SignalCase, where: SignalRing, group: str) -> RingMeasures:
    """Plain sums over the segments of a cycle; the effective intensity is that of the form factor."""
    lengths, fraction = np.diff(case.times_s), 0.1
    waves = np.array([case.waveform_cd(where, at, group) for at in range(72)])  # type: ignore[arg-type]
    steady = waves.min(axis=1)
    energy = (waves - steady[:, None]) @ lengths
    height = waves.max(axis=1) - steady
    seconds = np.divide(energy, height, out=np.zeros(72), where=height > 0.0)
    mean = waves @ lengths / case.times_s[-1]
    dark = waves < fraction * mean[:, None]
    return RingMeasures(
        where.ring_id, group, waves.max(axis=1), mean, waves.min(axis=1),  # type: ignore[arg-type]
        {"form factor": np.divide(energy, 0.2 + seconds)}, np.where(height > 0.0, 1.25, 0.0), np.full(72, 0.3),
        dark @ lengths / case.times_s[-1], np.where(dark.any(axis=1), 0.5, 0.0),
    )  # fmt: skip


def case(state: str, light: str) -> SignalCase:
    warning = NIGHT if light == "night" else 1.0
    flood = 1.0 if state == "working" else 0.0
    lamps = tuple(lamp(number, flood if row[1] == "flood" else warning) for number, row in enumerate(LAMPS))
    times = np.round(np.arange(9) * ON_S, 9)
    levels = np.array([one.levels if one.flashing else np.full(8, one.level) for one in lamps])
    flashing = np.array([one.flashing for one in lamps])
    bare = SignalCase(state, light, lamps, times, levels, flashing, (), (), (), (), (), (), ())
    found = tuple(measures(bare, where, group) for where in RINGS for group in ("all", "flashing"))
    return SignalCase(state, light, lamps, times, levels, flashing, found, (), (), (), (), (), ())


def verdict(
    state: str, light: str, limit: float, elevations: tuple[float, ...], status: str, name: str
) -> SignalVerdict:
    return SignalVerdict(
        rule=name.split(",")[0], name=name, source_title="Invented rule of warning lamps", edition="", clause="2",
        source_status=status, quantity="effective intensity", model="form factor", subject="all lamps that flash",
        where="all round", state=state, light=light, sense="at least", limit=limit, value=31.2, unit="cd",
        margin=31.2 - limit, worst=SignalDirection(45.0, elevations[0]),
        verdict="not assessed" if status == "unconfirmed" else "misses", inside_uncertainty=False,
        because="unconfirmed", headings_deg=tuple(np.arange(0.0, 360.0, 5.0).tolist()), elevations_deg=elevations,
    )  # fmt: skip


def drawing(row: tuple[str, str, str, tuple[float, float, float], float]) -> LampDrawing:
    name, kind, circuit, place, heading = row
    beam = (float(np.cos(np.radians(heading))), float(np.sin(np.radians(heading))), 0.0)
    return LampDrawing(
        name, "amber-head" if kind == "warning" else "tail-flood", kind, circuit, place, beam, heading, 0.0
    )


@cache
def signal_study() -> SignalStudy:
    """One truck, two duty states, day and night."""
    bodies = tuple(
        BodyDrawing(
            "truck", body,
            tuple(sum(pair) / 2 * FOOT for pair in sides),  # type: ignore[arg-type]
            tuple((pair[1] - pair[0]) / 2 * FOOT for pair in sides),  # type: ignore[arg-type]
            IDENTITY,
        )
        for body, *sides in BOXES
    )  # fmt: skip
    site = SiteDrawing((), bodies, (("truck", (0.0, 0.0, 0.0), 0.0),), "wet asphalt")
    cases = tuple(case(state, light) for state in ("blocking", "working") for light in ("day", "night"))
    verdicts = tuple(
        verdict(state, light, limit, elevations, status, name)
        for state in ("blocking", "working")
        for light, factor in (("day", 2.3), ("night", 1.0))
        for limit, elevations, status, name in (
            (100.0 * factor, (0.0,), "unconfirmed", "Amber, all round, level"),
            (20.0, (0.0,), "published", "Amber, level, whatever the light"),
            (70.0 * factor, (-8.0, 8.0), "unconfirmed", "Amber, all round, above and below"),
        )
    )
    variant = SignalVariant(
        "as written", "Warning lamps all round", "truck", MIDDLE_M, 0.0, tuple(drawing(row) for row in LAMPS), site,
        RINGS, cases, (), verdicts,
    )  # fmt: skip
    names = tuple(row[0] for row in LAMPS)
    about = StudyResult(
        "Invented truck with flashing lamps", "invented-truck", "metric", True,
        {"blocking": "Blocking, warning lamps alone", "working": "Crew at the rear"},
        {"day": "Day", "night": "Night, warning lamps dimmed"}, (),
        (
            LuminaireFacts(
                "amber-head", "Amber head", "fitted from one figure", "invented", 350.0, 900.0, None, names[:6], ()
            ),
            LuminaireFacts(
                "tail-flood", "Tail flood", "measured file", "invented", 4200.0, 2500.0, None, names[6:], ()
            ),
        ),
        (InputFile("invented-truck.toml", "a1" * 32),), ("Steady light is left out of effective intensity.",), CAUTIONS,
    )  # fmt: skip
    return SignalStudy(about, (variant,), ("form factor",), 0.1, ())
