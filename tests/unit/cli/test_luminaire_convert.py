"""Converting luminaires: every format, the same light on the ground, and nothing lost without a word."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from one_lamp import one_lamp
from typer.testing import CliRunner

from scenelux.cli.luminaire import app
from scenelux.errors import InputError
from scenelux.photometry import (
    IntensityDistribution,
    PhotometricFile,
    angles,
    direction,
    flux_lm,
    read_photometric,
    write_lm63,
)
from scenelux.scene.read import read_scene
from scenelux.shipped import shipped
from scenelux.study.probe import probe

RUN = CliRunner()


def run(*words: str) -> tuple[str, str]:
    result = RUN.invoke(app, list(words))
    assert result.exit_code == 0, result.output or result.exception
    return result.stdout, result.stderr


def read(path: Path) -> PhotometricFile:
    return read_photometric(path.read_bytes(), path.name)


def lux(folder: Path, luminaire: str) -> np.ndarray:
    """Initial lux at points on the ground around the beam, of a lamp turned about all three axes."""
    scene = folder / "scene.toml"
    scene.write_text(one_lamp(luminaire, heading=165, tilt=-28, roll=20, left=0.4))
    points = [f"{along},{left},0" for along in (-2, -3.5, -5, -8, -12) for left in (-6, -2.5, -1, 0.4, 1.5, 3, 7)]
    return np.array([one.illuminance_lx for one in probe(read_scene(scene), points).points])


@pytest.mark.parametrize("ending", [".ies", ".ldt", ".xml"])
@pytest.mark.parametrize("name", ["tail-flood-oval", "side-flood", "tail-flood-round", "work-lamp-wide", "warning-red"])
def test_the_ground_gets_the_same_light(tmp_path: Path, name: str, ending: str) -> None:
    """Types A, B and C, a stated beam and a table of points; EULUMDAT turns A and B into type C."""
    run("convert", name, str(tmp_path / f"other{ending}"))
    before, after = lux(tmp_path, name), lux(tmp_path, "other.toml")
    assert before.max() > 0.3
    np.testing.assert_allclose(after, before, rtol=5e-3, atol=2e-3 * before.max())


def in_type(kind: str) -> IntensityDistribution:
    """One lopsided lamp, tabled finely in the angles of each type as it hangs in its usual mounting."""
    h, v = (
        (np.linspace(0, 360, 361), np.linspace(0, 90, 181))
        if kind == "C"
        else (np.linspace(-90, 90, 361), np.linspace(-90, 90, 361))
    )
    d = direction(kind, *np.meshgrid(h, v, indexing="ij"))
    if kind == "A":
        right, up, beam = -d[..., 1], d[..., 2], d[..., 0]
    elif kind == "B":
        right, up, beam = -d[..., 1], d[..., 0], -d[..., 2]
    else:
        right, up, beam = d[..., 0], d[..., 1], -d[..., 2]
    candela = 2000 * np.exp(-(((right - 0.2) / 0.5) ** 2) - ((up + 0.1) / 0.25) ** 2) * np.maximum(beam, 0.0)
    if kind == "C":
        candela[-1] = candela[0]
    return IntensityDistribution(kind, h, v, candela)


def test_one_lamp_through_types_a_b_and_c(tmp_path: Path) -> None:
    """The same lamp tabled as A, B and C, and each of them converted to type C: the same lux on the ground."""
    found = {}
    for kind in "ABC":
        (tmp_path / f"{kind}.ies").write_bytes(write_lm63(in_type(kind), []))
        run("convert", str(tmp_path / f"{kind}.ies"), str(tmp_path / f"from-{kind}.ies"), "--type-c")
        found[kind] = lux(tmp_path, f"{kind}.ies")
        as_c = "from-C.ies" if kind == "C" else f"from-{kind}.toml"
        assert read(tmp_path / f"from-{kind}.ies").distribution.photometric_type == "C"
        found[f"from {kind}"] = lux(tmp_path, as_c)
    for name, values in found.items():
        np.testing.assert_allclose(values, found["C"], rtol=5e-3, atol=2e-3 * found["C"].max(), err_msg=name)


def test_the_card_holds_the_mounting_of_the_new_type(tmp_path: Path) -> None:
    run("convert", "side-flood", str(tmp_path / "b.ies"), "--type-c")
    assert 'face = "gamma 0"\ntop = "C 0 gamma 90"\n' in (tmp_path / "b.toml").read_text()
    run("convert", "warning-red", str(tmp_path / "a.ldt"))
    assert 'face = "C 0 gamma 90"\ntop = "gamma 180"\n' in (tmp_path / "a.toml").read_text()
    run("convert", "warning-red", str(tmp_path / "same.ies"))
    assert "face" not in (tmp_path / "same.toml").read_text()


def test_what_is_lost_is_told_on_stderr(tmp_path: Path) -> None:
    said, notes = run("convert", "side-flood", str(tmp_path / "x.ldt"))
    assert said.splitlines() == [f"{tmp_path / 'x.ldt'} written", f"{tmp_path / 'x.toml'} written"]
    assert "type B is now type C" in notes and "has no field for" in notes


def test_a_calculated_file_is_never_called_measured(tmp_path: Path) -> None:
    for ending in (".ies", ".ldt", ".xml", ".csv"):
        out = tmp_path / f"plain{ending}"
        run("convert", str(shipped("luminaires") / "side-flood.ies"), str(out))
        found = json.loads(run("show", str(out), "--json")[0])
        assert found["data_class"] == "fitted from several figures" and found["source"]["status"] == "invented", ending


def test_a_required_minimum_keeps_its_mark(tmp_path: Path) -> None:
    (tmp_path / "least.csv").write_text(
        "# basis: required minimum\nH,V,cd\n0,0,300\n-5,0,200\n5,0,200\n0,5,100\n0,-5,90\n"
    )
    for ending in (".ies", ".xml", ".csv"):
        out = tmp_path / f"least-too{ending}"
        run("convert", str(tmp_path / "least.csv"), str(out))
        assert read(out).basis == "required minimum" and 163 in {one.code for one in read(out).warnings}
    said, notes = run("convert", str(tmp_path / "least.csv"), str(tmp_path / "least.ldt"))
    assert "(required minimum)" in notes and "name least.toml in a scene" in notes and "least.toml" in said
    found = json.loads(run("show", str(tmp_path / "least.toml"), "--json")[0])
    assert found["basis"] == "required minimum" and 163 in {one["code"] for one in found["warnings"]}


def test_factors_are_baked_once(tmp_path: Path) -> None:
    numbers = "1 1000 1.5 3 1 1 2 0 0 0\n0.8 1 20\n0 45 90\n0\n100 50 0\n"
    (tmp_path / "f.ies").write_text(f"IESNA:LM-63-2002\n[TEST] t\nTILT=NONE\n{numbers}")
    expected = 1.2 * flux_lm(
        read_photometric(
            f"IESNA91\nTILT=NONE\n{numbers}".replace("1.5", "1", 1).replace("0.8", "1").encode()
        ).distribution
    )
    for ending in (".ies", ".ldt", ".xml"):
        run("convert", str(tmp_path / "f.ies"), str(tmp_path / f"g{ending}"))
        assert flux_lm(read(tmp_path / f"g{ending}").distribution) == pytest.approx(expected, rel=1e-5)
        assert read(tmp_path / f"g{ending}").rated_flux_lm in (1000.0, None)
    assert "1.5" in read(tmp_path / "g.ies").text("OTHER")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("side-flood", "x.dat"), "end it in .ies, .ldt, .xml or .csv"),
        (("side-flood", "x.ies", "--edition", "1995"), "2002 or 2019"),
        (("tail-flood-round", "x.csv"), "is of type C, which has no H and V"),
        (("no-such-lamp", "x.ies"), "is not a luminaire"),
        (("side-flood", "no/such/folder/x.ies"), "cannot be written"),
    ],
)  # fmt: skip
def test_bad_input_writes_nothing(
    words: tuple[str, ...], says: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    result = RUN.invoke(app, ["convert", *words])
    assert isinstance(result.exception, InputError) and says in str(result.exception)
    assert not list(tmp_path.iterdir())


def test_neither_file_is_written_where_one_is_there(tmp_path: Path) -> None:
    (tmp_path / "x.toml").write_text("mine")
    result = RUN.invoke(app, ["convert", "side-flood", str(tmp_path / "x.ldt")])
    assert isinstance(result.exception, InputError) and "--force" in str(result.exception)
    assert [path.name for path in tmp_path.iterdir()] == ["x.toml"]
    run("convert", "side-flood", str(tmp_path / "x.ldt"), "--force")
    assert (tmp_path / "x.toml").read_text() != "mine"


def test_directions_keep_their_intensity(tmp_path: Path) -> None:
    """In the photometric frame itself, whatever the type."""
    run("convert", "tail-flood-oval", str(tmp_path / "c.ldt"))
    one = read_photometric((shipped("luminaires") / "tail-flood-oval.ies").read_bytes()).distribution
    other = read(tmp_path / "c.ldt").distribution
    d = direction("C", *np.meshgrid(np.arange(0, 360, 7.3), np.arange(0, 89, 3.1)))
    assert other.photometric_type == "C" and angles("C", d)[1].max() < 90
    np.testing.assert_allclose(other.intensity(d), one.intensity(d), atol=0.005 * one.candela.max())


def test_a_table_that_was_padded_for_another_format_comes_back_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "t.csv").write_text("# basis: measured\nH,V,cd\n0,0,300\n-5,0,200\n5,0,200\n0,5,100\n0,-5,90\n")
    run("convert", str(tmp_path / "t.csv"), str(tmp_path / "t.ies"))
    run("convert", str(tmp_path / "t.ies"), str(tmp_path / "back.csv"))
    back = read(tmp_path / "back.csv")
    assert back.distribution.horizontal_deg.tolist() == [-5, 0, 5] == back.distribution.vertical_deg.tolist()
    assert back.distribution.candela_at(0, 0) == 300 and 39 in {one.code for one in back.warnings}


def test_what_a_table_of_points_cannot_hold_is_told(tmp_path: Path) -> None:
    numbers = "1 1000 1 3 3 3 2 .3 .2 0\n1 1 20\n-90 0 90\n-90 0 90\n0 0 0\n0 50 0\n0 0 0\n"
    (tmp_path / "f.ies").write_text(f"IESNA:LM-63-2002\n[TEST] t\nTILT=NONE\n{numbers}")
    _, notes = run("convert", str(tmp_path / "f.ies"), str(tmp_path / "f.csv"))
    assert "has no place for: rated lumens, input watts, luminous opening" in notes


def test_quiet_and_json(tmp_path: Path) -> None:
    assert run("convert", "side-flood", str(tmp_path / "a.ldt"), "--quiet") == ("", "")
    said, notes = run("convert", "side-flood", str(tmp_path / "b.ldt"), "--json")
    found = json.loads(said)
    assert notes == "" and found["photometric_type"] == "C" and len(found["files"]) == 2
    assert any("would hang turned" in note for note in found["notes"])
