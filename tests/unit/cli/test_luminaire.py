"""The commands on photometric data, through the command line as users call it."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from typer.testing import CliRunner

from scenelux.cli.luminaire import app
from scenelux.errors import InputError
from scenelux.photometry import flux_lm, read_lm63
from scenelux.shipped import shipped

RUN = CliRunner()


def ask(*words: str) -> str:
    result = RUN.invoke(app, list(words))
    assert result.exit_code == 0, result.output or result.exception
    return result.stdout


def refused(*words: str) -> str:
    result = RUN.invoke(app, list(words))
    assert isinstance(result.exception, InputError), result.output
    assert result.stdout == ""
    return str(result.exception)


def test_show_says_flux_peak_and_angles() -> None:
    text = ask("show", "tail-flood-round", "--at", "0,30", "--tilt", "-35 deg")
    for words in (
        "4200 lm",
        "3889 cd at C 0, gamma 0",
        "60.0 deg across, 60.0 deg up",
        "1944",
        "tilted 35 deg down",
        "invented",
    ):
        assert words in text


def test_json_is_one_document_and_nothing_else() -> None:
    found = json.loads(ask("show", "headlamp-low", "--at", "0,0", "--at", "270,4", "--json"))
    assert {
        "edition",
        "photometric_type",
        "flux_lm",
        "peak_cd",
        "peak_at",
        "beam_angle_deg",
        "field_angle_deg",
        "opening_m",
        "warnings",
        "intensity",
    } <= set(found)
    assert found["edition"] == "LM-63-2002" and found["photometric_type"] == "B"
    assert found["flux_lm"] == pytest.approx(820, rel=1e-5)
    assert set(found["peak_at"]) == {"C_deg", "gamma_deg", "H_deg", "V_deg"}
    assert found["peak_at"]["H_deg"] > 0 > found["peak_at"]["V_deg"]
    assert [one["C_deg"] for one in found["intensity"]] == [0, 270]
    assert found["beam_angle_deg"]["across"] is None and "level plane" in found["beam_angle_deg"]["reason"]
    assert found["opening_m"] == {"shape": "rectangle", "across": 0.12, "up": 0.06, "depth": 0}


def test_a_card_with_a_stated_beam() -> None:
    found = json.loads(ask("show", "step-lamp", "--json", "--at", "90,6", "--at", "90,4"))
    assert found["edition"] == "stated beam" and found["flux_lm"] == pytest.approx(150)
    assert found["opening_m"]["across"] == 0.08
    assert found["intensity"][0]["cd"] == 0 < found["intensity"][1]["cd"]


def test_a_photometric_file_by_path_and_its_warnings(tmp_path: Path) -> None:
    path = tmp_path / "odd.IES"
    path.write_bytes((shipped("luminaires") / "tail-flood-round.ies").read_bytes() + b"END\r\n")
    found = json.loads(ask("show", str(path), "--json"))
    assert [one["code"] for one in found["warnings"]] == [26]
    said = ask("show", str(path))
    assert "[26]" in said and "(kind not stated, colour not stated)" in said  # no card says it


def test_picture(tmp_path: Path) -> None:
    path = tmp_path / "sheet.png"
    assert "sheet.png written" in ask("show", "warning-amber", "--picture", str(path))
    assert path.read_bytes().startswith(b"\x89PNG")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("show", "no-such-lamp"), '"no-such-lamp" is not a luminaire'),
        (("show", "side-flood", "--at", "3"), "is not a pair of angles"),
        (("show", "side-flood", "--at", "nan,3"), "is not a pair of angles"),
        (("show", "side-flood", "--at", "0,181"), "gamma runs from 0 deg"),
        (("show", "vendor.LDT"), "is not a file"),
        (("show", "side-flood", "--tilt", "5 ft"), "5 ft"),
        (("show", "side-flood", "--picture", "/no/such/folder/a.png"), "cannot be written"),
        (("make", "x.ies"), "is not a form of beam"),
        (("make", "x.ldt", "--beam", "flat-top"), '"x.ldt" does not end in .ies'),
        (("make", "x.ies", "--beam", "cosine-power", "--flux", "0 lm", "--beam-angle", "60 deg"), '--flux "0 lm"'),
        (("make", "x.ies", "--beam", "flat-top", "--flux", "5 lm", "--across", "9 deg"), "--edge"),
        (
            ("make", "x.ies", "--beam", "cosine-power", "--flux", "5 lm", "--beam-angle", "170 deg"),
            '--beam-angle "170 deg"',
        ),
        (("make", "x.ies", "--beam", "cosine-power", "--flux", "5 cd", "--beam-angle", "60 deg"), '--flux "5 cd"'),
        (
            ("make", "/no/such/folder/x.ies", "--beam", "cosine-power", "--flux", "5 lm", "--beam-angle", "60 deg"),
            "written",
        ),
        (("make", "x.ies", "--from", "no-list.toml"), "is not a folder"),
        (("make", ".", "--from", "no-list.toml"), "cannot be read"),
        (("make", ".", "--from", "/dev/zero"), "is not a plain file"),
        (("make", ".", "--from", "."), "is not a plain file"),
        (("make", ".", "--from", "a" * 300), "cannot be read"),
        (("make", "a" * 300, "--from", "no-list.toml"), "is not a folder"),
        (("make", "a" * 300 + ".ies", "--beam", "cosine-power", "--flux", "5 lm", "--beam-angle", "60 deg"), "written"),
        (("show", "a" * 300), "is not a luminaire"),
        (("show", "a" * 300 + ".ies"), "is not a file"),
        (("show", "a/" * 3000 + "b.toml"), "is not a file"),
        (("show", "side-flood", "--picture", "a" * 300 + ".png"), "cannot be written"),
        (("show", "side-flood", "--picture", "a.jpg"), "does not end in .png"),
        (("show", "side-flood", "--tilt", "-3500 deg"), "straight down"),
        (("make", ".", "--from", "no-list.toml", "--beam", "flat-top"), "takes no figures"),
    ],
)
def test_bad_input_is_one_sentence_and_writes_nothing(
    words: tuple[str, ...], sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    said = refused(*words)
    assert sentence in said and "\n" not in said
    assert not list(tmp_path.iterdir())


def test_make_writes_a_file_of_exactly_the_stated_flux(tmp_path: Path) -> None:
    out = tmp_path / "flood.ies"
    ask(
        "make",
        str(out),
        "--beam",
        "elliptical-gaussian",
        "--flux",
        "4200 lm",
        "--across",
        "80 deg",
        "--up",
        "40 deg",
        "--cutoff-above",
        "10 deg",
        "--title",
        "My flood",
        "--manufacturer",
        "Invented",
    )
    file = read_lm63(out.read_bytes())
    assert flux_lm(file.distribution) == pytest.approx(4200, rel=1e-5)
    assert file.text("MANUFAC") == "Invented" and "across 80 deg" in file.text("OTHER") and file.warnings == ()
    assert "My flood" not in ask("show", str(out)) and "4200 lm" in ask("show", str(out))


def test_a_made_file_without_a_card_is_not_called_measured(tmp_path: Path) -> None:
    out = tmp_path / "flood.ies"
    ask("make", str(out), "--beam", "cosine-power", "--flux", "4200 lm", "--beam-angle", "60 deg")
    found = json.loads(ask("show", str(out), "--json"))
    assert (found["data_class"], found["source"]["status"]) == ("fitted from several figures", "own")
    shipped_file = json.loads(ask("show", str(shipped("luminaires") / "tail-flood-round.ies"), "--json"))
    assert shipped_file["source"]["status"] == "invented"


def test_make_overwrites_nothing_without_force(tmp_path: Path) -> None:
    out = tmp_path / "flood.ies"
    out.write_text("measured data")
    words = ("make", str(out), "--beam", "cosine-power", "--flux", "4200 lm", "--beam-angle", "60 deg")
    assert "is already there; give another name, or --force" in refused(*words)
    assert out.read_text() == "measured data"
    ask(*words, "--force")
    made = out.read_bytes()
    assert made.startswith(b"IESNA:LM-63-2002")
    ask(*words)  # the same bytes again do no harm
    assert out.read_bytes() == made


def test_make_from_a_list_overwrites_all_or_nothing(tmp_path: Path) -> None:
    beams = str(shipped("luminaires") / "beams" / "beams.toml")
    (tmp_path / "tail-flood-round.ies").write_text("measured data")
    assert "tail-flood-round.ies" in refused("make", str(tmp_path), "--from", beams)
    assert [path.name for path in tmp_path.iterdir()] == ["tail-flood-round.ies"]
    ask("make", str(tmp_path), "--from", beams, "--force")
    ask("make", str(tmp_path), "--from", beams)
    assert len(list(tmp_path.iterdir())) >= 8


@pytest.mark.parametrize("text", ["a = " + "9" * 6000, "a = " + "[" * 40_000, "a = 1", "a.parts = [1]"])
def test_lists_of_beams_that_are_none(text: str, tmp_path: Path) -> None:
    (tmp_path / "list.toml").write_text(f'format = "scenelux beams 1"\n{text}\n')
    assert "list.toml: " in refused("make", str(tmp_path), "--from", str(tmp_path / "list.toml"))


def test_make_from_a_list_makes_the_shipped_files(tmp_path: Path) -> None:
    said = ask("make", str(tmp_path), "--from", str(shipped("luminaires") / "beams" / "beams.toml"))
    for path in tmp_path.iterdir():
        assert path.read_bytes() == (shipped("luminaires") / path.name).read_bytes()
        assert path.name in said
    assert len(list(tmp_path.iterdir())) >= 8


def test_intensity_at_a_test_point_and_at_the_same_direction() -> None:
    rows = json.loads(ask("show", "warning-red", "--at", "5U-10L", "--json"))["intensity"]
    assert rows[0]["cd"] == pytest.approx(148) and (rows[0]["H_deg"], rows[0]["V_deg"]) == (-10, 5)
    again = json.loads(ask("show", "warning-red", "--at", f"{rows[0]['C_deg']},{rows[0]['gamma_deg']}", "--json"))
    assert again["intensity"][0]["cd"] == pytest.approx(148)
    row = json.loads(ask("show", "tail-flood-round", "--at", "5U-10L", "--json"))["intensity"][0]
    assert set(row) == {"C_deg", "gamma_deg", "cd"}  # type C: H and V as a lamp of a vehicle is turned, type A
    assert math.cos(math.radians(row["gamma_deg"])) == pytest.approx(
        math.cos(math.radians(10)) * math.cos(math.radians(5))
    )
    assert 90 < row["C_deg"] < 180  # up and to the left


def test_a_folder_is_one_table_and_what_cannot_be_read_is_told(tmp_path: Path) -> None:
    shipped_folder = shipped("luminaires")
    table = ask("show", str(shipped_folder))
    cards = sorted(path.stem for path in shipped_folder.glob("*.toml"))
    assert all(name[:12] in table for name in cards) and "Invented demonstration data: all" in table
    found = json.loads(ask("show", str(shipped_folder), "--json"))
    assert [one["luminaire"] for one in found["luminaires"]] == cards and found["not_read"] == []
    (tmp_path / "good.ies").write_bytes((shipped_folder / "side-flood.ies").read_bytes())
    (tmp_path / "bad.ldt").write_text("nothing of the kind")
    (tmp_path / "note.md").write_text("not looked at")
    result = RUN.invoke(app, ["show", str(tmp_path)])
    assert result.exit_code == 2 and "good.ies" in result.stdout and "bad.ldt" in result.stderr
    assert "note" not in result.output
    assert "is a folder" in refused("show", str(tmp_path), "--at", "0,0")
    (tmp_path / "empty").mkdir()
    assert "holds no luminaire" in refused("show", str(tmp_path / "empty"))


def test_show_says_colour_supply_and_light_ahead() -> None:
    text = ask("show", "tail-flood-round", "--tilt", "-35 deg")
    assert "S/P 1.84 (unconfirmed)" in text and "12.8 V, 9 to 32 V, constant power" in text
    ahead = json.loads(ask("show", "tail-flood-round", "--tilt", "-35 deg", "--at", "90,35", "--json"))
    assert [one["elevation_deg"] for one in ahead["ahead"]] == [0, -2, -5.9, -10]
    assert ahead["ahead"][0]["cd"] == pytest.approx(ahead["intensity"][0]["cd"])
    assert ahead["colour"]["xy"]["status"] == "unconfirmed" and ahead["colour"]["sp_ratio"]["value"] == 1.8354


def test_colour_outside_its_region_is_told(tmp_path: Path) -> None:
    card = (
        (shipped("luminaires") / "warning-amber.toml")
        .read_text()
        .replace('colour = "amber"', 'colour = "amber"\nchromaticity = [0.45, 0.41]')
    )
    (tmp_path / "pale.toml").write_text(card)
    (tmp_path / "warning-amber.ies").write_bytes((shipped("luminaires") / "warning-amber.ies").read_bytes())
    assert "lies outside amber of SAE J578" in ask("show", str(tmp_path / "pale.toml"))


def test_picture_of_points(tmp_path: Path) -> None:
    ask("show", "warning-red", "--picture", str(tmp_path / "red.png"))
    assert {path.name for path in tmp_path.iterdir()} == {"red.png", "red-points.png"}


def test_a_picture_takes_the_place_of_no_other_file(tmp_path: Path) -> None:
    path = tmp_path / "supplier.png"
    path.write_bytes(b"IESNA91")
    assert "is there and is no picture" in refused("show", "side-flood", "--picture", str(path))
    assert path.read_bytes() == b"IESNA91"
    ask("show", "side-flood", "--picture", str(tmp_path / "a.png"))
    ask("show", "side-flood", "--picture", str(tmp_path / "a.png"))


def test_what_may_have_been_meant(tmp_path: Path) -> None:
    (tmp_path / "old1991.ies").write_bytes((shipped("luminaires") / "side-flood.ies").read_bytes())
    assert 'did you mean "old1991.ies"' in refused("show", str(tmp_path / "old1919.ies"))
    assert "is a folder" in refused("convert", str(tmp_path), "x.ies")
