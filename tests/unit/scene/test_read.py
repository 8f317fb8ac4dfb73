"""Reading is light and quick, and every shipped scene can be read."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
from broken_scenes import BASE

from scenelux.scene.document import read_document
from scenelux.scene.read import check_document, find_scene, read_scene, shipped_scenes
from scenelux.shipped import shipped

PACKAGE = Path(__file__).resolve().parents[3] / "scenelux"
HEAVY = {"numpy", "numba", "scipy", "matplotlib", "imageio", "rich", "typer"}


def modules_after(code: str) -> set[str]:
    result = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(' '.join(sys.modules))"],
        capture_output=True, text=True, check=True, cwd=PACKAGE.parent,
    )  # fmt: skip
    return {name.partition(".")[0] for name in result.stdout.splitlines()[-1].split()}


def test_reading_loads_no_heavy_library() -> None:
    loaded = modules_after("from scenelux.scene.read import read_scene; read_scene('causeway-truck')")
    assert not loaded & HEAVY
    assert "pydantic" in loaded


@pytest.mark.parametrize("module", sorted(path.stem for path in (PACKAGE / "scene").glob("[a-z]*.py")))
def test_every_module_of_the_stage_is_light(module: str) -> None:
    assert not {"numpy", "numba"} & modules_after(f"import scenelux.scene.{module}")


@pytest.mark.parametrize("name", shipped_scenes())
def test_shipped_scenes(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    scene = read_scene(name)
    assert scene.data == "invented" and scene.demonstration
    assert scene.name == name
    assert all(not Path(item.file).is_absolute() for item in scene.inputs)
    text = find_scene(name).read_text(encoding="utf-8")
    assert len(text.splitlines()) < 100
    assert "invented" in text.splitlines()[1]
    assert f"[{name}.toml]({name}.toml)" in (shipped("scenes") / "README.md").read_text(encoding="utf-8")


def test_there_are_three_demonstrations() -> None:
    assert shipped_scenes() == ("causeway-truck", "line-repair-truck", "mountain-pass-truck")


def test_the_causeway_truck_is_the_one_of_the_demonstration_world() -> None:
    scene = read_scene("causeway-truck")
    truck = scene.vehicles[0]
    lamps = {lamp.id: lamp for lamp in truck.lamps}
    feet = 0.3048
    assert max(body.forward_m[1] for body in truck.bodies) == pytest.approx(24 * feet)
    assert {body.left_m for body in truck.bodies if body.id == "service body"} == {(-4 * feet, 4 * feet)}
    for name, side in (("tail-left", 1), ("tail-right", -1)):
        assert lamps[name].position_m[1] == pytest.approx(side * 38 * 0.0254)
        assert lamps[name].position_m[2] == pytest.approx(7 * feet + 9 * 0.0254)
        assert lamps[name].position_m[0] < 0.0  # some inches behind the body
        assert (lamps[name].tilt_deg, lamps[name].circuit) == (-35.0, "tail scene")
    assert [lane.width_m for lane in scene.site.lanes] == pytest.approx([11 * feet, 11 * feet])
    assert (scene.site.surface, scene.base) == ("wet asphalt", "tilted")
    assert scene.site.posted_speed_m_s == pytest.approx(24.5872)
    assert {(eye.lane, eye.height_m) for eye in scene.eyes} == {
        (lane, height) for lane in ("next", "opposite") for height in (1.08, 2.33)
    }
    assert set(scene.circuits) == {"tail scene", "side scene", "step lamps", "warning", "arrow board", "headlamps"}
    assert {"day", "night", "undimmed"} <= set(scene.light)
    sizes = {area.id: (area.forward_m, area.left_m) for area in scene.areas}
    (back, front), (right, left) = sizes["rear"]  # type: ignore[misc]
    assert (front - back, left - right) == pytest.approx((10 * feet, 10 * feet))
    bumper = next(body for body in truck.bodies if body.id == "bumper")
    assert front == pytest.approx(bumper.forward_m[0])
    (back, front), (right, left) = sizes["strip"]  # type: ignore[misc]
    assert (front - back, left - right) == pytest.approx((25 * feet, 12 * feet))
    assert "flat" in scene.variants


def test_a_file_comes_before_a_shipped_scene(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert find_scene("causeway-truck.toml") == shipped("scenes") / "causeway-truck.toml"
    Path("causeway-truck.toml").write_text(BASE)
    assert read_scene("causeway-truck.toml").title == "A truck to be broken"
    assert read_scene("causeway-truck").title != "A truck to be broken"


def test_a_byte_order_mark_and_windows_line_ends_are_taken(tmp_path: Path) -> None:
    file = tmp_path / "scene.toml"
    file.write_bytes(b"\xef\xbb\xbf" + BASE.replace("\n", "\r\n").encode())
    assert read_scene(file).title == "A truck to be broken"


def test_a_large_document_is_placed_in_good_time() -> None:
    rows = "".join(f'[[rows]]\nid = "r{i}"\nposition = [{i}, "1 ft", 3.5]\n' for i in range(16_000))
    data = rows.encode()
    assert 700_000 < len(data) < 1_000_000
    start = time.perf_counter()
    document = read_document(data, "large.toml")
    assert time.perf_counter() - start < 10.0  # about 1 s; a quadratic scan would take minutes
    assert document.places["rows", 15_999, "position", 2].line == 3 * 15_999 + 3


def test_what_a_document_holds() -> None:
    found = check_document("causeway-truck")
    assert found.kind == "scene" and found.holds.startswith("scene with 1 vehicle, 20 lamps, 8 areas")
