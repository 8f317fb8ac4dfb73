"""Checks of the flashing lamps of a scene: names that must be known, patterns and phases that must be readable."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from typing import TYPE_CHECKING

from scenelux.errors import InputError
from scenelux.scene.positions import KeyPath
from scenelux.scene.signals import Signal, pattern_of
from scenelux.scene.tables import requirement_names

if TYPE_CHECKING:
    from scenelux.scene.model import SceneText

__all__ = ["MOST_SIGNALS", "signal_faults", "signal_references"]

MOST_SIGNALS = 1000
"""Entries of a scene, and of a variant; more is a slip of the pen."""


def signal_references(scene: SceneText) -> Iterator[tuple[KeyPath, str, Collection[str], str]]:
    """Every name that patterns, signals and their criteria use: where, what, what is known, and as what."""
    lamps = tuple(lamp.id for vehicle in scene.vehicles for lamp in vehicle.lamps)
    known: dict[str, tuple[Collection[str], str]] = {
        "lamps": (lamps, "a lamp of this scene"),
        "states": (tuple(scene.states), "a duty state of this scene"),
        "light": (tuple(scene.light), "a light level of this scene"),
    }
    named = [(path, entry) for path, entry in _entries(scene)]
    named += [(("signal_criteria", i), row) for i, row in enumerate(scene.signal_criteria)]  # type: ignore[misc]
    for path, entry in named:
        for key, (names, what) in known.items():
            for k, name in enumerate(getattr(entry, key) or ()):
                yield (*path, key, k), name, names, what
        if entry.circuit is not None:
            yield (*path, "circuit"), entry.circuit, tuple(scene.circuits), "a circuit of this scene"
    for i, row in enumerate(scene.signal_criteria):
        if row.requirement is not None:
            known_names = requirement_names()
            yield ("signal_criteria", i, "requirement"), row.requirement, known_names, "a requirement that is known"


def signal_faults(scene: SceneText) -> Iterator[tuple[KeyPath, str, str]]:
    """Patterns and phases that cannot be read: where, what is wrong, what would be accepted."""
    for name, signals in (("signals", scene.signals), *((n, v.signals) for n, v in scene.variants.items())):
        if len(signals) > MOST_SIGNALS:
            path: KeyPath = (name,) if name == "signals" else ("variants", name, "signals")
            yield path, f"has {len(signals):,} entries", f"give at most {MOST_SIGNALS:,}"
            return
    for path, entry in _entries(scene):
        try:
            pattern_of(scene, entry)
        except InputError as error:
            yield (*path, error.key or "pattern"), error.problem, error.accepted or ""


def _entries(scene: SceneText) -> Iterator[tuple[KeyPath, Signal]]:
    yield from ((("signals", i), entry) for i, entry in enumerate(scene.signals))
    for name, variant in scene.variants.items():
        yield from ((("variants", name, "signals", i), entry) for i, entry in enumerate(variant.signals))
