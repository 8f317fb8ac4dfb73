"""The table of glare: a row for each eye and each set of lamp levels, its gazes side by side, its notes by number."""

from __future__ import annotations

import math
from collections.abc import Callable

from scenelux.pictures.levels import Key, Level
from scenelux.pictures.sentences import worst_veil
from scenelux.reports.states import lit_levels, say_level
from scenelux.reports.tabling import STATE_AND_LIGHT, Table
from scenelux.study.results import EyeEntry, EyeResult, StudyResult, VariantResult
from scenelux.units import UnitSystem, figure, format_distance, format_length

__all__ = ["eye_table"]

_AFTER = (
    "worst gaze: where",
    "limit [cd/m²]",
    "threshold increment, equivalent [%]",
    "eye illuminance [lx]",
    "discomfort rating",
    "seconds above limit",
    "valid stations",
    "notes",
)
_AIR = "lit air, not in the veil [cd/m²]"
_NOTE = (
    "Veils are the largest along the way; place, threshold increment, eye illuminance and rating belong to the gaze "
    "with the largest veil, seconds and valid stations to the gaze with the most and the fewest. "
    "Discomfort rating from 1 unbearable to 9 unnoticeable, formula unconfirmed."
)


def eye_table(result: StudyResult, variant: VariantResult) -> Table:
    """Worst glare of every eye at every set of lamp levels; those that most rules judge are shown first.

    Parameters
    ----------
    result : the study, for words and units.
    variant : whose eyes are listed.
    """
    gazes = list(dict.fromkeys(entry.gaze for eye in variant.eyes for entry in eye.entries))
    hazy = any(entry.air_luminance_cd_m2 is not None for eye in variant.eyes for entry in eye.entries)
    notes: dict[str, int] = {}
    rows, shown = [], 0
    for number, level in enumerate(lit_levels(variant)):
        for eye in variant.eyes:
            found = {key: own for key in level.keys if (own := _entries(eye, key))}
            if found:
                rows.append(_cells(result, eye, level, found, gazes, notes, hazy))
        shown = shown if number else len(rows)
    forms = ", ".join(sorted({eye.headline_form for eye in variant.eyes}))
    header = (
        "eye",
        STATE_AND_LIGHT,
        *(f"veil, gaze {gaze} [cd/m²]" for gaze in gazes),
        *([_AIR] if hazy else []),
        *_AFTER,
    )
    title = f"Glare at the eyes, initial light, worst station ({forms or 'no eye'})"
    return Table(title, header, tuple(rows), _NOTE, tuple(notes), shown)


def _entries(eye: EyeResult, key: Key) -> list[EyeEntry]:
    return [entry for entry in eye.entries if (entry.state, entry.light) == key]


def _cells(
    result: StudyResult,
    eye: EyeResult,
    level: Level,
    found: dict[Key, list[EyeEntry]],
    gazes: list[str],
    notes: dict[str, int],
    hazy: bool,
) -> tuple[str, ...]:
    kind = eye.direction if eye.kind == "approach" else "fixed"
    how = [kind] if kind.lower() not in eye.name.lower() else []
    how += [f"{format_length(eye.height_m, result.units)} up", f"age {eye.age_years:g}"]

    def told(text: Callable[[list[EyeEntry]], str]) -> str:
        """One text for all light levels, or each light level with its own."""
        texts = {light: text(entries) for (_, light), entries in found.items()}
        if len(set(texts.values())) == 1:
            return next(iter(texts.values()))
        return "; ".join(f"{result.lights.get(light) or light}: {one}" for light, one in texts.items())

    own = list(dict.fromkeys(note for entries in found.values() for entry in entries for note in entry.notes))
    numbers = sorted(notes.setdefault(note, len(notes) + 1) for note in own)
    return (
        f"{eye.name} ({', '.join(how)})",
        say_level(result, level),
        *(told(lambda entries, gaze=gaze: _veil(eye, entries, gaze)) for gaze in gazes),  # type: ignore[misc]
        *([told(_air)] if hazy else []),
        told(lambda entries: _at(eye, _worst(eye, entries), result.units)),
        told(lambda entries: _limit(entries[0])),
        told(lambda entries: _at_station(_worst(eye, entries), "threshold_increment_percent")),
        told(lambda entries: _at_station(_worst(eye, entries), "eye_illuminance_lx")),
        told(lambda entries: _at_station(_worst(eye, entries), "discomfort_rating")),
        told(_seconds),
        told(lambda entries: f"{min(entry.valid_stations for entry in entries)} of {eye.distances_m.size}"),
        ", ".join(str(number) for number in numbers),
    )


def _veil(eye: EyeResult, entries: list[EyeEntry], gaze: str) -> str:
    return next((figure(worst_veil(eye, entry)) for entry in entries if entry.gaze == gaze), "")


def _air(entries: list[EyeEntry]) -> str:
    """The brightest lit air along any gaze at any station."""
    series = [entry.air_luminance_cd_m2 for entry in entries if entry.air_luminance_cd_m2 is not None]
    found = [value for one in series for value in one.tolist() if math.isfinite(value)]
    return figure(max(found)) if found else ""


def _worst(eye: EyeResult, entries: list[EyeEntry]) -> EyeEntry:
    """The entry of the gaze with the largest veil."""
    return max(entries, key=lambda entry: veil if math.isfinite(veil := worst_veil(eye, entry)) else -1.0)


def _at(eye: EyeResult, entry: EyeEntry, units: UnitSystem) -> str:
    if entry.worst_station is None:
        return "no light at the eye"
    distance_m = float(eye.distances_m[entry.worst_station])
    place = format_distance(distance_m, units) if math.isfinite(distance_m) else "at the eye"
    most = f", most from {entry.top_lamp}" if entry.top_lamp else ""
    return f"{entry.gaze}: {place}{most}"


def _limit(entry: EyeEntry) -> str:
    if entry.veil_limit_cd_m2 is None:
        return "none"
    return f"{figure(entry.veil_limit_cd_m2)} ({entry.veil_limit_from})"


def _at_station(entry: EyeEntry, name: str) -> str:
    return "none" if entry.worst_station is None else figure(float(getattr(entry, name)[entry.worst_station]))


def _seconds(entries: list[EyeEntry]) -> str:
    known = [entry.seconds_above for entry in entries if entry.seconds_above is not None]
    return f"{figure(max(known))} s" if known else "none set"
