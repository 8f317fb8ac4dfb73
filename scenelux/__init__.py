"""Light around a working vehicle at night: lux for the crew, glare for drivers, and the rules it must meet.

The names below load on first use, so that `import scenelux` stays light.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from scenelux.scene.read import read_scene as read_scene
    from scenelux.study.simulate import simulate as simulate

__version__ = "0.1.0"
__all__ = ["__version__", "read_scene", "simulate"]

_HOMES = {"read_scene": "scenelux.scene.read", "simulate": "scenelux.study.simulate"}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'scenelux' has no attribute {name!r}")
