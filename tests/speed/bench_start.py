"""Start-up of the commands, and the first and second study of a new folder of compiled code."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from functools import partial
from pathlib import Path

from tests.speed.ratios import Ratios
from tests.speed.timing import ROOT, alternating, seconds

__all__ = ["start"]

BASE = "python, importing numpy"
COMMAND = [sys.executable, "-m", "scenelux"]
COMMANDS = {
    "python, doing nothing": [sys.executable, "-c", "pass"],
    BASE: [sys.executable, "-c", "import numpy"],
    "scenelux --help": [*COMMAND, "--help"],
    "scenelux study --help": [*COMMAND, "study", "--help"],
    "scenelux validate": [*COMMAND, "validate", "causeway-truck"],
}


def start(quick: bool) -> Ratios:
    """Ratios of start-up times to that of a python that imports numpy, printed; studies in full runs only."""
    tasks = {name: partial(_run, command) for name, command in COMMANDS.items()}
    for task in tasks.values():
        task()
    timed = alternating(tasks, 5 if quick else 10)
    print(f"{'':30}{'s':>8}{'best':>8}{'x numpy':>9}")
    for name in tasks:
        print(f"{name:30}{timed.median(name):8.3f}{timed.best(name):8.3f}{1 / timed.times(name, BASE):9.2f}")
    ratios: Ratios = {
        f"start: importing numpy over {name}": timed.times(name, BASE) for name in tasks if name.startswith("scenelux")
    }
    return ratios if quick else ratios | _studies(timed.median(BASE))


def _studies(numpy_s: float) -> Ratios:
    ratios: Ratios = {}
    with tempfile.TemporaryDirectory() as folder:
        # The folder goes by the variable of the custom of Linux, so that numba's own is left to the engine to set.
        cache = {"XDG_CACHE_HOME": str(Path(folder, "cache")), "NUMBA_CACHE_DIR": ""}
        study = [*COMMAND, "study", "causeway-truck", "--out", str(Path(folder, "out")), "--quiet"]
        for name in ("first study, empty cache", "second study", "third study"):
            took = seconds(partial(_run, study, cache))
            print(f"{name:30}{took:8.2f}{'':8}{took / numpy_s:9.1f}")
            ratios[f"start: importing numpy over the {name}"] = numpy_s / took
        print(f"files written: {len(list(Path(folder, 'out').rglob('*.*')))}")
    return ratios


def _run(command: list[str], changed: dict[str, str] | None = None) -> None:
    subprocess.run(command, check=True, capture_output=True, cwd=ROOT, env={**os.environ, **(changed or {})})
