"""Light from lamps to points and eyes past bodies. numba is used here and nowhere else."""

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Blockers, Lamps, Plane
from scenelux.engine.fast.drive import by_lamp, summed
from scenelux.engine.fast.tiles import Tiles
from scenelux.engine.illuminance import covered, illuminance, illuminance_sum, tiled
from scenelux.engine.mesh import Mesh
from scenelux.engine.sight import Sight, sight

__all__ = [
    "MEMORY_LIMIT_BYTES",
    "Blockers",
    "Lamps",
    "Mesh",
    "Plane",
    "Sight",
    "Tiles",
    "by_lamp",
    "covered",
    "illuminance",
    "illuminance_sum",
    "sight",
    "summed",
    "tiled",
]
