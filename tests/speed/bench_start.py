"""Start-up times: medians of ten warm runs of each command, and the first and second study of a new numba cache.

python tests/speed/bench_start.py
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

RUNS = 10
COMMANDS = {
    "python -c pass": [sys.executable, "-c", "pass"],
    "scenelux --help": [sys.executable, "-m", "scenelux", "--help"],
    "scenelux study --help": [sys.executable, "-m", "scenelux", "study", "--help"],
    "scenelux validate": [sys.executable, "-m", "scenelux", "validate", "causeway-truck"],
}


def seconds(command: list[str], env: dict[str, str] | None = None) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, env={**os.environ, **(env or {})})
    return time.perf_counter() - start


def main() -> None:
    print(f"{'command':28} {'median s':>9} {'least':>7} {'most':>7}")
    for name, command in COMMANDS.items():
        seconds(command)
        times = [seconds(command) for _ in range(RUNS)]
        print(f"{name:28} {statistics.median(times):9.3f} {min(times):7.3f} {max(times):7.3f}")
    with tempfile.TemporaryDirectory() as folder:
        cache = {"NUMBA_CACHE_DIR": str(Path(folder, "numba"))}
        out = str(Path(folder, "out"))
        study = [sys.executable, "-m", "scenelux", "study", "causeway-truck", "--out", out, "--quiet"]
        for name in ("first study, empty cache", "second study", "third study"):
            print(f"{name:28} {seconds(study, cache):9.2f}")
        print(f"files written: {len(list(Path(folder, 'out').rglob('*.*')))}")


if __name__ == "__main__":
    main()
