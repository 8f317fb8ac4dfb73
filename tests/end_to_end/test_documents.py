"""`scenelux validate` and `scenelux new`: one line a file, exit status 2 for a bad one, nothing heavy loaded."""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

import pytest
from broken_scenes import BASE, BROKEN
from command import run

from scenelux.scene.schema import schema

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(autouse=True)
def _in_a_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def test_good_files() -> None:
    Path("good.toml").write_text(BASE)
    ran = run("validate", "good.toml", "causeway-truck", str(ROOT / "luminaires" / "tail-flood-round.toml"))
    assert (ran.status, ran.err) == (0, "")
    assert [line.partition(": ")[2][:6] for line in ran.out.splitlines()] == ["good; "] * 3


def test_one_bad_file_among_good_ones() -> None:
    Path("good.toml").write_text(BASE)
    Path("bad.toml").write_text(BROKEN[0].text)
    ran = run("validate", "good.toml", "bad.toml", "none.toml")
    assert ran.status == 2
    assert ran.out.splitlines()[0].startswith("good.toml: good; scene with 2 vehicles, 4 lamps")
    first, second = ran.err.splitlines()
    assert first.startswith("scenelux: bad.toml:") and "none.toml" in second


def test_json() -> None:
    Path("bad.toml").write_text(BROKEN[0].text)
    ran = run("validate", "bad.toml", "causeway-truck", "--json")
    bad, good = json.loads(ran.out)["files"]
    assert ran.status == 2 and ran.err == ""
    assert not bad["valid"] and (bad["line"], bad["column"]) == BROKEN[0].place and bad["key"]
    assert good["valid"] and good["kind"] == "scene"


@pytest.mark.parametrize("kind", ["scene", "luminaire"])
def test_schema(kind: str) -> None:
    ran = run("validate", "--schema", kind)
    assert ran.status == 0
    assert json.loads(ran.out) == schema(kind)  # type: ignore[arg-type]
    assert run("validate", kind, "--schema") == ran


def test_schema_of_a_scene_needs_no_word() -> None:
    assert run("validate", "--schema") == run("validate", "--schema", "scene")


@pytest.mark.parametrize(
    "words", [("validate",), ("validate", "--schema", "scenes"), ("validate", "--schema", "scene", "luminaire")]
)
def test_bad_usage(words: tuple[str, ...]) -> None:
    ran = run(*words)
    assert ran.status == 2 and ran.out == ""
    assert ran.err.startswith("scenelux: ") and ran.err.count("\n") == 1


def test_new_quotes_a_name_with_blanks() -> None:
    assert "next: scenelux study 'My Van.toml' --out out" in run("new", "My Van").out


def test_new_then_validate() -> None:
    assert run("new", "my-truck").status == 0
    assert run("validate", "my-truck.toml").status == 0
    again = run("new", "my-truck")
    assert again.status == 2 and "already there" in again.err


def test_validate_loads_nothing_heavy_and_is_quick() -> None:
    code = (
        "import sys; sys.argv = ['scenelux', 'validate', 'causeway-truck']\n"
        "from scenelux.cli import main\n"
        "try: main()\n"
        "except SystemExit as stop: assert not stop.code\n"
        "heavy = {'numpy', 'numba', 'scipy', 'matplotlib', 'imageio'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    seconds = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-c", code], check=True, cwd=ROOT, capture_output=True)
        seconds.append(time.perf_counter() - start)
    assert statistics.median(seconds) < 1.5  # 0.2 to 0.35 s when alone; far above that something heavy is loaded
