"""The job of `scenelux signal`: the flashing lamps of a scene in one or more variants."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scenelux.errors import UsageError
from scenelux.placement import PlacedScene, PlacedVehicle, place
from scenelux.placement.signals import middle_m, signal_colours
from scenelux.scene.model import SceneDocument
from scenelux.scene.variants import apply_variant
from scenelux.scene.words import near
from scenelux.signals import MODELS
from scenelux.study.drawings import lamp_drawings, site_drawing
from scenelux.study.results.signal import SignalCase, SignalRing, SignalStudy, SignalVariant
from scenelux.study.results.signal_facts import SignalColour
from scenelux.study.signal.asked import Limit
from scenelux.study.signal.case import Burning, Memory, burning, lamps_of, measures_of
from scenelux.study.signal.facts import arrows_of, motion_of, zones_of
from scenelux.study.signal.judge import signal_limits, signal_verdicts
from scenelux.study.signal.measures import DARK_FRACTION, HEADLINE_MODEL
from scenelux.study.signal.notes import signal_notes
from scenelux.study.signal.rings import rings_of
from scenelux.study.signal.safety import safety_of
from scenelux.study.signal.sync import clocks_of, synchrony_of, units_of
from scenelux.study.simulate import about, levels_of
from scenelux.units import UnitSystem

__all__ = ["WALK_M", "SignalAsked", "look_at_signals"]

Progress = Callable[[str], None]

WALK_M = 25.0
"""Distance of the eyes near by, where none is asked for."""

NEAREST_M, FARTHEST_M = 5.0, 5000.0


@dataclass(frozen=True)
class SignalAsked:
    """A duty state, a light level, a vehicle and a distance that are asked for.

    Parameters
    ----------
    state, light : all in which a lamp flashes, where empty.
    vehicle : in the middle; the first where empty.
    distance_m : of the eyes near by, 5 to 5000, from the middle of the vehicle.
    """

    state: str = ""
    light: str = ""
    vehicle: str = ""
    distance_m: float = WALK_M


def look_at_signals(
    scene: SceneDocument,
    variants: Sequence[str] = (),
    asked: SignalAsked | None = None,
    *,
    units: str | None = None,
    progress: Progress = lambda step: None,
) -> SignalStudy:
    """Flashing lamps by direction over time, what they are worth, and what they must meet.

    Parameters
    ----------
    scene : as read by `read_scene`, with entries for patterns.
    variants : names, in this order; the base alone when none is named.
    asked : a duty state, a light level, a vehicle, a distance.
    units : "metric" or "us" for the output; the scene's own when not given.
    progress : is told what is being worked on.
    """
    wanted = SignalAsked() if asked is None else asked
    _check(scene, wanted)
    names = list(variants) or [scene.base]
    placed = [place(apply_variant(scene, name)) for name in names]
    head = about(scene, placed, units)
    limits = signal_limits(scene, wanted.distance_m, head.units)
    burn = [_burning(one, wanted) for one in placed]
    if not any(burn):
        accepted = "give [[signals]] entries with a pattern for lamps that are on"
        raise UsageError("has no lamp that flashes where it is asked", value=scene.name, accepted=accepted)
    found = [
        _variant(name, one, lit, wanted, limits, head.units, progress)
        for name, one, lit in zip(names, placed, burn, strict=True)
    ]
    notes = tuple(dict.fromkeys(note for one in placed for note in one.notes))
    models = (HEADLINE_MODEL, *(model for model in MODELS if model != HEADLINE_MODEL))
    return SignalStudy(replace(head, notes=notes), tuple(found), models, DARK_FRACTION, (*notes, *signal_notes()))


def _check(scene: SceneDocument, asked: SignalAsked) -> None:
    """Unknown names are told with those known, and a distance with its range."""
    for key, name, known, what in (
        ("--state", asked.state, list(scene.states), "a duty state"),
        ("--light", asked.light, list(scene.light), "a light level"),
        ("--vehicle", asked.vehicle, [one.id for one in scene.vehicles], "a vehicle"),
    ):
        _known(key, name, known, what)
    if not NEAREST_M <= asked.distance_m <= FARTHEST_M:
        accepted = f"give {NEAREST_M:g} to {FARTHEST_M:g} m"
        raise UsageError("is out of range", key="--distance", value=f"{asked.distance_m:.6g} m", accepted=accepted)


def _known(key: str, name: str, known: Iterable[str], what: str) -> None:
    if name and name not in known:
        raise UsageError(f"is not {what} of this scene", key=key, value=name, accepted=near(name, known))


def _burning(placed: PlacedScene, asked: SignalAsked) -> list[Burning]:
    """States and light levels that are asked for and in which a lamp flashes."""
    found = (
        burning(placed, state, light, level)
        for (state, light), level in levels_of(placed).items()
        if state in (asked.state or state,) and light in (asked.light or light,)
    )
    return [one for one in found if one.any_flashes]


def _variant(
    name: str,
    placed: PlacedScene,
    burn: Sequence[Burning],
    asked: SignalAsked,
    limits: Sequence[Sequence[Limit]],
    units: UnitSystem,
    progress: Progress,
) -> SignalVariant:
    scene = placed.scene
    vehicle = placed.vehicles[asked.vehicle or scene.vehicles[0].id]
    progress(f"{name}: light to all sides")
    rings = rings_of(placed, vehicle, asked.distance_m, units)
    memory = Memory()
    cases = []
    for one in burn:
        progress(f"{name}: {one.state}, {one.light}")
        cases.append(_case(placed, rings, one, vehicle, units, memory))
    progress(f"{name}: requirements")
    centre = middle_m(vehicle).tolist()
    return SignalVariant(
        name=name,
        say=scene.variants[name].say if name in scene.variants else scene.title,
        vehicle_id=vehicle.vehicle_id,
        centre_m=(centre[0], centre[1], centre[2]),
        heading_deg=vehicle.heading_deg,
        lamps=lamp_drawings(placed),
        site=site_drawing(placed),
        rings=rings,
        cases=tuple(cases),
        colours=_colours(placed, burn),
        verdicts=signal_verdicts(placed, vehicle, burn, limits),
    )


def _case(
    placed: PlacedScene,
    rings: Sequence[SignalRing],
    one: Burning,
    vehicle: PlacedVehicle,
    units: UnitSystem,
    memory: Memory,
) -> SignalCase:
    measures = measures_of(rings, one, memory)
    alike = units_of(placed, one)
    rows, left_out = synchrony_of(alike)
    near_ring = next(ring for ring in rings if ring.kind == "near")
    clocks = clocks_of(alike)
    apart = (f"{len(clocks)} clocks run apart ({', '.join(clocks)}): shown as they begin together",)
    return SignalCase(
        state=one.state,
        light=one.light,
        lamps=lamps_of(placed, one),
        times_s=one.times_s,
        levels=one.levels,
        flashing=one.flashing,
        measures=measures,
        zones=zones_of(rings, measures),
        synchrony=rows,
        arrows=arrows_of(placed, one),
        motion=motion_of(placed, vehicle, alike),
        safety=safety_of(placed, one, near_ring, units),
        notes=(*left_out, *(apart if len(clocks) > 1 else ())),
    )


def _colours(placed: PlacedScene, burn: Sequence[Burning]) -> tuple[SignalColour, ...]:
    """Every luminaire that flashes somewhere, against the regions of its colour."""
    flashing = np.any([one.flashing for one in burn], axis=0) if burn else np.zeros(0, np.bool_)
    lamps: dict[str, list[str]] = {}
    for at in np.flatnonzero(flashing).tolist():
        lamps.setdefault(placed.placed_lamps[at].luminaire.name, []).append(placed.placed_lamps[at].id)
    return tuple(
        SignalColour(
            luminaire=row.lamp,
            lamps=tuple(lamps[row.lamp]),
            region="" if row.region is None else str(row.region),
            verdict="not assessed" if row.verdict == "not known" else row.verdict,
            distance=math.nan if row.distance is None else row.distance,
            says=row.says,
        )
        for row in signal_colours(placed, lamps)
    )
