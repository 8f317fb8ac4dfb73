"""Both paths of the engine on every shipped scene and variant: the same verdicts, and the same figures in print."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from command import run
from numpy.typing import NDArray
from one_lamp import one_lamp

from scenelux.engine import Contributions
from scenelux.engine.illuminance import Precision
from scenelux.reports.rows import variant_tables
from scenelux.scene.read import read_scene
from scenelux.study.results import StudyResult
from scenelux.study.simulate import simulate

SCENES = sorted(path.stem for path in (Path(__file__).resolve().parents[2] / "scenes").glob("*.toml"))


def simulated(scene: str, precision: Precision) -> StudyResult:
    document = read_scene(scene)
    return simulate(document, [document.base, *document.variants], store=Contributions(precision=precision))


def printed(result: StudyResult) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    for variant in result.variants:
        for table in variant_tables(result, variant):
            yield from ((variant.name, table.title, tuple(row)) for row in table.rows)


def apart(fast: NDArray[np.float64], exact: NDArray[np.float64]) -> float:
    """Largest difference, but for points at the very edge of a shadow, of which there are hardly any."""
    assert (np.isnan(fast) == np.isnan(exact)).all()
    alike = (fast > 0.0) == (exact > 0.0)
    assert alike.mean() > 0.9999
    return float(np.nanmax(np.abs(fast - exact)[alike]))


@pytest.mark.parametrize("scene", SCENES)
def test_no_verdict_and_no_printed_figure_depends_on_the_path(scene: str) -> None:
    fast, exact = simulated(scene, "fast"), simulated(scene, "exact")
    for ours, reference in zip(fast.variants, exact.variants, strict=True):
        assert [(row.rule, row.verdict, row.says) for row in ours.verdicts] == [
            (row.rule, row.verdict, row.says) for row in reference.verdicts
        ]
        for one, other in zip((ours.map, *ours.areas), (reference.map, *reference.areas), strict=True):
            assert apart(one.by_lamp_lx, other.by_lamp_lx) <= 1e-5 * np.nanmax(other.by_lamp_lx)
        assert apart(ours.map.by_lamp_lx, reference.map.by_lamp_lx) > 0.0
    lines = list(printed(fast))
    assert len(lines) > 30
    assert lines == list(printed(exact))


def test_the_path_is_chosen_on_the_command_line(tmp_path: Path) -> None:
    scene = tmp_path / "scene.toml"
    scene.write_text(one_lamp("tail-flood-round", tilt=-35))
    grids = {}
    for precision in ("fast", "exact"):
        ran = run("study", scene, "--out", tmp_path / precision, "--precision", precision, "--quiet")
        assert (ran.status, ran.out, ran.err) == (0, "", "")
        with np.load(tmp_path / precision / "grids.npz") as file:
            grids[precision] = file["as written/map/by_lamp_maintained_lx"]
    for precision, share in (("fast", 1.0), ("exact", 0.0)):
        lit = grids[precision][grids[precision] > 0.0]
        assert (lit == lit.astype(np.float32)).mean() == pytest.approx(share, abs=0.05), "single precision or not"
    answers = [run("probe", scene, "--at", "-3,0,0", "--precision", each, "--json").out for each in grids]
    assert answers[0] == answers[1] and json.loads(answers[0])["points"][0]["illuminance_lx"] > 0


@pytest.mark.parametrize("words", [("study", "--out", "out"), ("compare", "--out", "out"), ("probe", "--at", "0,0,0")])
def test_a_precision_that_is_none_is_one_sentence(words: tuple[str, ...]) -> None:
    command, *options = words
    two = ["causeway-truck", "mountain-pass-truck"] if command == "compare" else ["causeway-truck"]
    ran = run(command, *two, *options, "--precision", "double")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == 'scenelux: --precision "double" is not a precision; give fast or exact.\n'
