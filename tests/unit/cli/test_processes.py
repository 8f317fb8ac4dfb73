"""What ends a command from outside ends it whole: no traceback, no folder half written, no process left."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
PROC = Path("/proc")

pytestmark = pytest.mark.skipif(not PROC.is_dir(), reason="reads the table of processes under /proc")


def start(out: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "scenelux", "study", "causeway-truck", "--out", str(out), "-q"]
    return subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    )


def left_of(session: int) -> set[int]:
    """Processes of a session that still run."""
    found = set()
    for stat in PROC.glob("[0-9]*/stat"):
        try:
            pid, _, rest = stat.read_text().partition(" ")
        except OSError:
            continue
        state, _, _, of_session = rest.rpartition(")")[2].split()[:4]
        if int(of_session) == session and state != "Z":
            found.add(int(pid))
    return found


def wait_until(true: Callable[[], bool], seconds: float = 20.0) -> bool:
    end = time.monotonic() + seconds
    while not true() and time.monotonic() < end:
        time.sleep(0.05)
    return true()


def writing(folder: Path) -> bool:
    return any(path.name.startswith(".") for path in folder.iterdir())


def test_a_study_that_is_ended_takes_everything_away(tmp_path: Path) -> None:
    process = start(tmp_path / "out")
    assert wait_until(lambda: writing(tmp_path))
    process.send_signal(signal.SIGTERM)  # to the first process alone, as a scheduler does
    said = process.communicate(timeout=30)
    assert (process.returncode, *said) == (143, "", "")
    assert list(tmp_path.iterdir()) == []
    assert wait_until(lambda: not left_of(process.pid), 5.0)


@pytest.mark.skipif((os.cpu_count() or 1) < 2, reason="a single processor has no second process")
def test_a_study_that_is_killed_leaves_no_second_process(tmp_path: Path) -> None:
    process = start(tmp_path / "out")
    assert wait_until(lambda: writing(tmp_path))
    assert len(left_of(process.pid)) > 1
    process.kill()
    process.communicate(timeout=30)
    assert wait_until(lambda: not left_of(process.pid), 5.0)


INTERRUPTED = """
import os, signal, sys
class Interruption:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            os.kill(os.getpid(), signal.SIGINT)
sys.meta_path.insert(0, Interruption())
sys.argv = ["scenelux", "study", "causeway-truck", "--out", "out"]
from scenelux.cli import main
main()
"""


@pytest.mark.parametrize(
    "module", ["typer", "scenelux.cli.study", "numpy", "matplotlib.figure", "scenelux.study.areas"]
)
def test_an_interruption_while_loading(module: str, tmp_path: Path) -> None:
    code = INTERRUPTED.format(module=module)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, check=False, capture_output=True, text=True, cwd=tmp_path, env=environment)
    assert done.returncode == 130
    assert "Traceback" not in done.stderr and done.stdout == ""
    assert list(tmp_path.iterdir()) == []


LOST = """
import os, signal, sys
class Callback:
    def __del__(self):
        os.kill(os.getpid(), signal.SIGINT)
        for _ in range(1000):
            pass  # the error of the answer arises here, where Python ignores it
class Interruption:
    def find_spec(self, name, path=None, target=None):
        if name == {module!r}:
            Callback()
sys.meta_path.insert(0, Interruption())
sys.argv = ["scenelux", *{words!r}]
from scenelux.cli import main
main()
"""


@pytest.mark.parametrize("module", ["scenelux.study.areas", "scenelux.pictures.scale"])
@pytest.mark.parametrize("words", ["study causeway-truck", "compare causeway-truck --variants flat,tilted"])
def test_an_interruption_lost_in_a_callback_is_answered_later(module: str, words: str, tmp_path: Path) -> None:
    code = LOST.format(module=module, words=[*words.split(), "--out", "out"])
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    command = [sys.executable, "-c", code]
    done = subprocess.run(command, check=False, capture_output=True, text=True, cwd=tmp_path, env=environment)
    assert "Exception ignored in" in done.stderr
    assert (done.returncode, done.stdout) == (130, "")
    assert list(tmp_path.iterdir()) == []


def test_an_interruption_wrapped_in_another_error_still_answers_130(monkeypatch: pytest.MonkeyPatch) -> None:
    from scenelux.cli import app as commands
    from scenelux.cli import main

    def wrapping() -> None:
        try:
            signal.raise_signal(signal.SIGINT)
        except SystemExit as stop:
            raise RuntimeError("as a compiled library does") from stop

    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}
    monkeypatch.setattr(commands, "app", wrapping)
    try:
        with pytest.raises(SystemExit) as caught:
            main()
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    assert caught.value.code == 130
