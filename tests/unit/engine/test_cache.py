"""Where machine code is kept, and that a second process compiles nothing."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from scenelux.engine.cache import cache_folder

ROOT = Path(__file__).parents[3]

CHANGED = ("NUMBA_CACHE_DIR", "NUMBA_DISABLE_JIT", "XDG_CACHE_HOME")

STUDY = """
import json, os, sys, time
start = time.perf_counter()
from types import SimpleNamespace
import numpy as np
from scenelux.engine import Blockers, Lamps, Plane, covered, illuminance, sight
from scenelux.engine.exact import fill_exactly
from scenelux.engine.fast.drive import _light_tiles
from scenelux.engine.fast.tiles import _fill
from scenelux.engine.illuminance import _fill_covered
from scenelux.engine.sight import _fill_sight
from scenelux.engine.warm import compile_exact_path, compile_fast_path, is_cold
cold = [is_cold()]
compile_fast_path()
exact_untouched = not fill_exactly.stats.cache_misses and not fill_exactly.stats.cache_hits
compile_exact_path()
cold.append(is_cold())
sys.modules["scenelux.engine.receiving"].FEW_POINTS = 0
bare = SimpleNamespace(azimuth_deg=[0, 360], polar_deg=[0, 180], candela=[[1000, 1000], [1000, 1000]])
lamp = Lamps.from_tables([bare], table=[0], position_m=[[0, 0, 3]], axes=[np.eye(3)])
box = Blockers.boxes([[20, 0, 1]], [[1, 1, 1]])
lux = [float(illuminance(lamp, box, [[4, 0, 0]], [[-1, 0, 0]], plane)[0, 0]) for plane in Plane]
writable, frozen = np.zeros((1, 3)), np.zeros((1, 3))
frozen.flags.writeable = False
for eyes in (writable, frozen, [[9, 9, 9]], np.zeros((1, 3), dtype=np.float32), np.zeros((1, 6))[:, ::2]):
    sight(lamp, box, eyes)
    for precision in ("exact", "fast"):
        illuminance(lamp, box, eyes, (0, 0, 1), precision=precision)
    covered(box, eyes, 0)
kernels = (fill_exactly, _fill_sight, _fill_covered, _light_tiles, _fill)
print(json.dumps({
    "seconds": time.perf_counter() - start,
    "compiled": [sum(kernel.stats.cache_misses.values()) for kernel in kernels],
    "loaded": [sum(kernel.stats.cache_hits.values()) for kernel in kernels],
    "folder": os.environ["NUMBA_CACHE_DIR"],
    "lux": lux,
    "cold": cold,
    "exact_untouched": exact_untouched,
}))
"""


def run(environment: dict[str, str]) -> dict[str, object]:
    base = {name: value for name, value in os.environ.items() if name not in CHANGED}
    done = subprocess.run(
        [sys.executable, "-c", STUDY], cwd=ROOT, env=base | environment, capture_output=True, text=True, check=True
    )
    answer: dict[str, object] = json.loads(done.stdout)
    return answer


def test_a_second_process_compiles_nothing(tmp_path: Path) -> None:
    first = run({"XDG_CACHE_HOME": str(tmp_path), "LOCALAPPDATA": str(tmp_path), "HOME": str(tmp_path)})
    second = run({"XDG_CACHE_HOME": str(tmp_path), "LOCALAPPDATA": str(tmp_path), "HOME": str(tmp_path)})
    print(f"first process {first['seconds']:.2f} s, second {second['seconds']:.2f} s")
    assert first["compiled"] == [1] * 5, "one version of each kernel, whatever arrays come in"
    assert second["compiled"] == [0] * 5
    assert second["loaded"] == [1] * 5
    assert first["lux"] == second["lux"]
    assert (first["cold"], second["cold"]) == ([True, False], [False, False])
    assert first["exact_untouched"], "the paths can be compiled by two processes at once"
    assert str(first["folder"]).startswith(str(tmp_path))


def test_a_folder_of_the_users_own_choice_is_kept(tmp_path: Path) -> None:
    assert run({"NUMBA_CACHE_DIR": str(tmp_path / "mine")})["folder"] == str(tmp_path / "mine")
    assert list((tmp_path / "mine").rglob("*.nbi"))


def test_folders_by_system() -> None:
    home = Path("/home/someone")
    assert cache_folder({}, "linux", home) == home / ".cache/scenelux/numba"
    assert cache_folder({"XDG_CACHE_HOME": "/var/tmp/c"}, "linux", home) == Path("/var/tmp/c/scenelux/numba")
    assert cache_folder({}, "darwin", home) == home / "Library/Caches/scenelux/numba"
    assert cache_folder({"LOCALAPPDATA": "/l"}, "win32", home) == Path("/l/scenelux/numba")
    assert cache_folder({}, "win32", home) == home / "AppData/Local/scenelux/numba"
