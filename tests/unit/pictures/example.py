"""An invented study of a causeway truck in plain numpy, for tests of pictures and reports."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from scenelux.geometry import IDENTITY, aim_axes
from scenelux.sources import CAUTIONS
from scenelux.study.results import (
    AreaEntry,
    AreaResult,
    BodyDrawing,
    EyeEntry,
    EyeResult,
    InputFile,
    LampDrawing,
    LampOff,
    LaneDrawing,
    LuminaireFacts,
    SiteDrawing,
    SiteMap,
    Statistics,
    StudyResult,
    VariantResult,
    VerdictRow,
    WindowEntry,
)

Array = NDArray[np.float64]

FOOT = 0.3048
LOSS = 0.9
STATES = {"working": "Crew at the rear", "blocking": "Blocking, warning lamps only"}
LIGHTS = {"day": "Day", "night": "Night, warning lamps dimmed"}
LEVELS: Mapping[tuple[str, str], tuple[float, float]] = {  # of the tail floods and of the warning heads
    ("working", "day"): (1.0, 1.0),
    ("working", "night"): (1.0, 0.42),
    ("blocking", "day"): (0.0, 1.0),
    ("blocking", "night"): (0.0, 0.42),
}
BOXES = (
    ("box", (0, 17), (-4, 4), (1.5, 9)),
    ("cab", (17, 24), (-4, 4), (1.5, 8)),
    ("bumper", (-1, 0), (-4, 4), (1.5, 2.5)),
)


def lamps(tilt_deg: float) -> tuple[LampDrawing, ...]:
    """Two tail floods, two amber heads at the rear."""
    rows = [
        ("tail-left", "tail-flood-round", "flood", "tail scene", (-0.02, 0.97, 2.36), 180.0, tilt_deg),
        ("tail-right", "tail-flood-round", "flood", "tail scene", (-0.02, -0.97, 2.36), 180.0, tilt_deg),
        ("amber-left", "warning-amber", "warning", "warning", (-0.02, 1.15, 2.6), 180.0, 0.0),
        ("amber-right", "warning-amber", "warning", "warning", (-0.02, -1.15, 2.6), 180.0, 0.0),
    ]
    return tuple(
        LampDrawing(name, card, kind, circuit, place, aim_axes(heading, tilt)[0], heading, tilt)
        for name, card, kind, circuit, place, heading, tilt in rows
    )


def beam(lamp: LampDrawing) -> tuple[float, float]:
    """Peak [cd] and exponent of a cosine-power beam: 4200 lm in 60 deg, or 350 lm in 40 deg."""
    flux, width = (4200.0, 60.0) if lamp.kind == "flood" else (350.0, 40.0)
    power = np.log(0.5) / np.log(np.cos(np.radians(width / 2)))
    return flux * (power + 1) / (2 * np.pi), power


def illuminance(all_lamps: tuple[LampDrawing, ...], points: Array, normal: tuple[float, float, float]) -> Array:
    """Each lamp alone at points (n, 3), (lamps, n) [lx]; the truck hides nothing here."""
    rows = []
    for lamp in all_lamps:
        peak, power = beam(lamp)
        away = points - np.array(lamp.position_m)
        distance = np.linalg.norm(away, axis=1)
        direction = away / distance[:, None]
        intensity = peak * np.clip(direction @ np.array(lamp.beam), 0, None) ** power
        rows.append(intensity * np.clip(-direction @ np.array(normal), 0, None) / distance**2)
    return np.array(rows)


def levels(all_lamps: tuple[LampDrawing, ...], state: str, light: str) -> Array:
    flood, warning = LEVELS[state, light]
    return np.array([flood if lamp.kind == "flood" else warning for lamp in all_lamps])


def statistics(lux: Array, points: Array) -> Statistics:
    valid = np.isfinite(lux)
    worst = int(np.nanargmin(lux))
    average = float(lux[valid].mean())
    minimum = float(lux[worst])
    uniformity = minimum / average if average > 0 else float("nan")
    along, left, up = points[worst].tolist()
    return Statistics(
        minimum, average, float(lux[valid].max()), uniformity, (along, left, up), int(valid.sum()), lux.size
    )


def area(
    all_lamps: tuple[LampDrawing, ...],
    name: str,
    say: str,
    forward: tuple[float, float],
    left: tuple[float, float],
    counts: tuple[int, int],
    height_m: float = 0.0,
    facing: str = "",
) -> AreaResult:
    step = ((forward[1] - forward[0]) / counts[0], (left[1] - left[0]) / counts[1])
    along, across = (
        low + size * (np.arange(count) + 0.5)
        for low, size, count in zip((forward[0], left[0]), step, counts, strict=True)
    )
    points = np.array([(a, b, height_m) for a in along for b in across])
    by_lamp = illuminance(all_lamps, points, (1.0, 0.0, 0.0) if facing else (0.0, 0.0, 1.0))
    entries = []
    for state, light in LEVELS:
        initial = np.tensordot(levels(all_lamps, state, light), by_lamp, axes=1)
        lux = LOSS * initial
        off = []
        for i, lamp in enumerate(all_lamps):
            left_over = statistics(lux - LOSS * levels(all_lamps, state, light)[i] * by_lamp[i], points)
            off.append(LampOff(lamp.lamp_id, left_over.minimum, left_over.average, left_over.worst_point_m))
        share = float(np.mean(lux >= 30.0))
        entries.append(
            AreaEntry(
                state,
                light,
                lux,
                statistics(lux, points),
                statistics(initial, points),
                tuple(off),
                5000.0 if light == "day" else 0.1,
                {"rear_minimum": share},
            )
        )
    corners = [(forward[i], left[j], height_m) for i, j in ((0, 0), (1, 0), (1, 1), (0, 1))]
    plane = "vertical" if facing else "horizontal"
    return AreaResult(
        name,
        say,
        plane,
        facing,
        height_m,
        np.array(corners),
        counts,
        step,
        points,
        tuple(lamp.lamp_id for lamp in all_lamps),
        by_lamp,
        tuple(entries),
    )


def site_map(all_lamps: tuple[LampDrawing, ...], spacing_m: float) -> SiteMap:
    along = np.arange(-16.0, 14.0, spacing_m) + spacing_m / 2
    left = np.arange(-9.0, 9.0, spacing_m) + spacing_m / 2
    points = np.array([(a, b, 0.0) for a in along for b in left])
    maintained = LOSS * illuminance(all_lamps, points, (0.0, 0.0, 1.0)).reshape(len(all_lamps), along.size, left.size)
    inside = (along > 0) & (along < 24 * FOOT)
    maintained[:, inside[:, None] & (np.abs(left) < 4 * FOOT)[None, :]] = np.nan
    ids = tuple(lamp.lamp_id for lamp in all_lamps)
    return SiteMap(along, left, ids, maintained, {key: levels(all_lamps, *key) for key in LEVELS})


def eye(
    all_lamps: tuple[LampDrawing, ...],
    name: str,
    say: str,
    lane: str,
    lane_left_m: float,
    height_m: float,
    behind: bool,
    age_years: float,
) -> EyeResult:
    distances = np.arange(150.0, 19.0, -5.0)
    along = -distances if behind else 24 * FOOT + distances
    points = np.stack([along, np.full_like(along, lane_left_m), np.full_like(along, height_m)], axis=1)
    ids = tuple(lamp.lamp_id for lamp in all_lamps)
    entries = []
    for state, light in LEVELS:
        for gaze, down in (("road", 0.0), ("1 deg down", 1.0), ("vehicle", None)):
            entries.append(eye_entry(all_lamps, points, distances, state, light, gaze, down, behind))
    return EyeResult(
        name,
        say,
        "approach",
        lane,
        "from behind" if behind else "from the front",
        height_m,
        age_years,
        0.5,
        24.6,
        "CIE general",
        distances,
        points,
        ids,
        tuple(entries),
    )


def eye_entry(
    all_lamps: tuple[LampDrawing, ...],
    points: Array,
    distances: Array,
    state: str,
    light: str,
    gaze: str,
    down_deg: float | None,
    behind: bool,
) -> EyeEntry:
    forward = 1.0 if behind else -1.0
    sight = np.array([forward, 0.0, 0.0 if down_deg is None else -np.tan(np.radians(down_deg))])
    gazes = np.tile(sight / np.linalg.norm(sight), (len(points), 1))
    if down_deg is None:
        gazes = np.array([0.0, 0.0, 1.4]) - points
        gazes /= np.linalg.norm(gazes, axis=1)[:, None]
    share = levels(all_lamps, state, light)
    veil, angle, lux = [], [], []
    for lamp, level in zip(all_lamps, share, strict=True):
        to_lamp = np.array(lamp.position_m) - points
        distance = np.linalg.norm(to_lamp, axis=1)
        direction = to_lamp / distance[:, None]
        peak, power = beam(lamp)
        candela = level * peak * np.clip(-direction @ np.array(lamp.beam), 0, None) ** power
        cosine = np.clip(np.sum(direction * gazes, axis=1), -1, 1)
        theta = np.degrees(np.arccos(cosine))
        e = candela / distance**2 * cosine
        factor = 10 / theta**3 + (5 / theta**2) * (1 + (40 / 62.5) ** 4) + 0.0025 * 0.5
        veil.append(np.where(theta < 0.1, np.nan, e * factor))
        angle.append(theta)
        lux.append(e)
    total = np.sum(veil, axis=0)
    if gaze == "vehicle":
        total[-2:] = np.nan
    top = int(np.argmax(np.nanmax(np.array(veil), axis=1)))
    road = 10.0 if light == "day" else 1.0
    limit = 0.3 * road
    worst = int(np.nanargmax(total)) if np.nanmax(total) > 0 else None
    seconds = float(np.sum(total > limit) * 5.0 / 24.6)
    notes = ("no lamp sends light to this eye: all face away",) if worst is None else ()
    if gaze == "vehicle":
        notes += ("2 stations not valid: tail-left is within 0.1 deg of the line of sight",)
    return EyeEntry(
        state,
        light,
        gaze,
        np.sum(lux, axis=0),
        angle[top],
        {"CIE general": total, "age-adjusted Stiles-Holladay": total * 0.8},
        np.array(veil),
        65 * total / road**0.8,
        5 - 2 * np.log10(1e-3 + np.sum(lux, axis=0)),
        road,
        int(np.isfinite(total).sum()),
        worst,
        None if worst is None else all_lamps[top].lamp_id,
        limit,
        "0.3 of the road luminance",
        seconds,
        float(np.sum(lux) * 5.0 / 24.6),
        notes,
    )


def verdict(
    rule: str,
    statistic: str,
    subject: str,
    state: str,
    light: str,
    limit: float,
    value: float,
    unit: str = "lx",
    *,
    quantity: str = "illuminance",
    status: str = "quoted",
    plane: str = "horizontal",
    point: tuple[float, float, float] | None = (-2.83, 1.3, 0.0),
    sense: Literal["at least", "at most"] = "at least",
) -> VerdictRow:
    margin = value - limit if sense == "at least" else limit - value
    word: Literal["meets", "misses", "not assessed"] = "meets" if margin >= 0 else "misses"
    because = f"{statistic} {value:.3g} {unit} against {sense} {limit:g} {unit}."
    if status == "unconfirmed" or np.isnan(value):
        word, because = "not assessed", "Not assessed: the source of this limit is unconfirmed."
    inside = word != "not assessed" and abs(margin) < 0.1 * abs(value)
    return VerdictRow(
        rule,
        "13.10.1.1",
        "2016",
        "Standard for automotive fire apparatus",
        status,
        quantity,
        statistic,
        plane,
        subject,
        state,
        light,
        sense,
        limit,
        value,
        unit,
        margin,
        point,
        word,
        inside,
        because,
    )


def verdicts(areas: tuple[AreaResult, ...], eyes: tuple[EyeResult, ...]) -> tuple[VerdictRow, ...]:
    rows = []
    for light in LIGHTS:
        found = {
            one.area_id: entry
            for one in areas
            for entry in one.entries
            if entry.state == "working" and entry.light == light
        }
        rear, strip = found["rear"].maintained, found["strip"].maintained
        point = rear.worst_point_m
        rows.append(verdict("nfpa_rear_average", "average", "rear", "working", light, 30.0, rear.average, point=None))
        rows.append(verdict("nfpa_rear_minimum", "minimum", "rear", "working", light, 30.0, rear.minimum, point=point))
        rows.append(
            verdict(
                "mdot_pass",
                "minimum",
                "strip",
                "working",
                light,
                5.0,
                strip.minimum / FOOT**-2,
                "fc",
                status="published",
            )
        )
        rows.append(
            verdict("general_average", "average", "strip", "working", light, 54.0, strip.average, status="unconfirmed")
        )
    for one in eyes:
        entries = [entry for entry in one.entries if entry.state == "working" and entry.light == "night"]
        value = max(float(np.nanmax(entry.veil_cd_m2["CIE general"])) for entry in entries)
        rows.append(
            verdict(
                "veil_ratio",
                "maximum",
                one.eye_id,
                "working",
                "night",
                0.3,
                value,
                "1",
                quantity="veiling ratio",
                plane="line of sight",
                point=(-60.0, 3.0, 1.08),
                sense="at most",
            )
        )
    return tuple(rows)


def variant(name: str, say: str, tilt_deg: float, spacing_m: float) -> VariantResult:
    all_lamps = lamps(tilt_deg)
    foot = FOOT
    areas = (
        area(all_lamps, "rear", "Rear work area", (-11 * foot, -1 * foot), (-5 * foot, 5 * foot), (7, 7)),
        area(all_lamps, "strip", "Cone-drop strip", (-26 * foot, -1 * foot), (-6 * foot, 6 * foot), (25, 12)),
        area(
            all_lamps,
            "person",
            "Cone-drop strip, on a person",
            (-26 * foot, -1 * foot),
            (-6 * foot, 6 * foot),
            (25, 12),
            1.5,
            "facing front",
        ),
    )
    eyes = (
        eye(all_lamps, "car-next", "Car in the next lane", "next", 3.35, 1.08, True, 65),
        eye(all_lamps, "truck-next", "Truck in the next lane", "next", 3.35, 2.33, True, 45),
        eye(all_lamps, "car-opposite", "Car, opposite lane", "opposite", 6.7, 1.08, False, 65),
        eye(all_lamps, "truck-opposite", "Truck, opposite lane", "opposite", 6.7, 2.33, False, 45),
    )
    bodies = tuple(
        BodyDrawing(
            "truck",
            body,
            tuple(sum(pair) / 2 * foot for pair in sides),  # type: ignore[arg-type]
            tuple((pair[1] - pair[0]) / 2 * foot for pair in sides),
            IDENTITY,  # type: ignore[arg-type]
        )
        for body, *sides in BOXES
    )
    lanes = (
        LaneDrawing("own", "Shoulder", 0.0, 10 * foot, "same"),
        LaneDrawing("next", "Next lane", 10.5 * foot, 11 * foot, "same"),
        LaneDrawing("opposite", "Opposite lane", 21.5 * foot, 11 * foot, "opposite"),
    )
    site = SiteDrawing(lanes, bodies, (("truck", (0.0, 0.0, 0.0), 0.0),), "wet asphalt")
    windows = (WindowEntry("house", "Bedroom, 60 m behind", (-60.0, -25.0, 4.0), "working", "night", 0.42, 11.3),)
    return VariantResult(
        name, say, all_lamps, site, site_map(all_lamps, spacing_m), areas, eyes, windows, verdicts(areas, eyes)
    )


@cache
def study_example(
    units: Literal["metric", "us"] = "us",
    title: str = "Causeway truck: tail scene lamps flat or tilted",
    only: str | None = None,
    spacing_m: float = 0.25,
) -> StudyResult:
    """The whole study, both variants or one of them."""
    variants = (
        variant("tilted", "Tail lamps tilted 35 deg down", -35.0, spacing_m),
        variant("flat", "Tail lamps level", 0.0, spacing_m),
    )
    names = tuple(lamp.lamp_id for lamp in variants[0].lamps)
    return StudyResult(
        title,
        "causeway-truck",
        units,
        True,
        STATES,
        LIGHTS,
        tuple(one for one in variants if only in (None, one.name)),
        (
            LuminaireFacts(
                "tail-flood-round",
                "Round tail flood",
                "fitted from several figures",
                "invented",
                4200.0,
                4344.2,
                38.0,
                names[:2],
                (),
            ),
            LuminaireFacts(
                "warning-amber",
                "Amber warning head",
                "fitted from one figure",
                "invented",
                350.0,
                900.0,
                None,
                names[2:],
                ("lumens stated only on a data sheet",),
            ),
        ),
        (InputFile("causeway-truck.toml", "a1" * 32), InputFile("tail-flood-round.ies", "b2" * 32)),
        ("The house near by is a point without walls.",),
        CAUTIONS,
    )
