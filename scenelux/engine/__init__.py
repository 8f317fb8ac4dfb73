"""Light from lamps to points and eyes past bodies. numba is used here and nowhere else.

The names of pictures load on first use, so that maps do not wait for them.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from scenelux.engine.arrays import Blockers, Lamps, Plane
from scenelux.engine.contributions import STORE_LIMIT_BYTES, Contributions, StoreState
from scenelux.engine.fast.drive import by_lamp, summed
from scenelux.engine.fast.tiles import Tiles
from scenelux.engine.illuminance import covered, illuminance, illuminance_sum
from scenelux.engine.mesh import Mesh
from scenelux.engine.numbers import MEMORY_LIMIT_BYTES
from scenelux.engine.receiving import Receivers, receivers, tiled
from scenelux.engine.sight import Sight, sight

if TYPE_CHECKING:
    from scenelux.engine.image.camera import Camera, GroundPlane
    from scenelux.engine.image.hits import Hits, first_hits, hit_points
    from scenelux.engine.image.shading import Picture, illuminance_image, illuminance_images, luminance_image, picture

__all__ = [
    "MEMORY_LIMIT_BYTES",
    "STORE_LIMIT_BYTES",
    "Blockers",
    "Camera",
    "Contributions",
    "GroundPlane",
    "Hits",
    "Lamps",
    "Mesh",
    "Picture",
    "Plane",
    "Receivers",
    "Sight",
    "StoreState",
    "Tiles",
    "by_lamp",
    "covered",
    "first_hits",
    "hit_points",
    "illuminance",
    "illuminance_image",
    "illuminance_images",
    "illuminance_sum",
    "luminance_image",
    "picture",
    "receivers",
    "sight",
    "summed",
    "tiled",
]

_HOMES = {
    "Camera": "camera",
    "GroundPlane": "camera",
    "Hits": "hits",
    "Picture": "shading",
    "first_hits": "hits",
    "hit_points": "hits",
    "illuminance_image": "shading",
    "illuminance_images": "shading",
    "luminance_image": "shading",
    "picture": "shading",
}


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        return getattr(import_module(f"scenelux.engine.image.{_HOMES[name]}"), name)
    raise AttributeError(f"module 'scenelux.engine' has no attribute {name!r}")
