"""What the devices of a circuit are set to for a level: levels are light, and light is not voltage."""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan

from scenelux.scene.switching_dimming import Dimming
from scenelux.switching.policy import Basis, by_curve, by_duty, by_filament_voltage, setting_of

__all__ = ["settings_of"]

_UNITS = {"duty": "%", "voltage": "V", "current": "mA"}


def settings_of(dimming: Mapping[str, Dimming], levels: Mapping[str, float]) -> dict[str, str]:
    """Circuit -> its setting in words, for circuits that burn and say how they are dimmed.

    Parameters
    ----------
    dimming : of the document.
    levels : circuit -> 0 to 1.

    Example
    -------
    >>> settings_of({"beacon": Dimming(basis="voltage", filament="12 V")}, {"beacon": 0.5})
    {'beacon': 'voltage 9.79 V'}
    """
    lit = ((name, levels[name]) for name in dimming if levels.get(name, 0.0) > 0.0)
    return {name: _words(dimming[name], level) for name, level in lit}


def _words(stated: Dimming, level: float) -> str:
    setting = float(setting_of(_basis(stated), level))
    if isnan(setting):
        return f"no {stated.basis} of its curve gives it"
    if stated.basis == "duty" and stated.points is None:
        setting *= 100.0
    return f"{stated.basis} {setting:.3g} {stated.unit or _UNITS[stated.basis]}"


def _basis(stated: Dimming) -> Basis:
    if stated.points is not None:
        return by_curve(stated.basis, stated.points)
    return by_duty() if stated.filament_v is None else by_filament_voltage(stated.filament_v)
