"""Light from lamps to points and eyes past bodies. numba is used here and nowhere else."""

from scenelux.engine.arrays import MEMORY_LIMIT_BYTES, Blockers, Lamps, Plane
from scenelux.engine.illuminance import covered, illuminance
from scenelux.engine.mesh import Mesh
from scenelux.engine.sight import Sight, sight

__all__ = ["MEMORY_LIMIT_BYTES", "Blockers", "Lamps", "Mesh", "Plane", "Sight", "covered", "illuminance", "sight"]
