"""`luminaire fit` as users call it: the table, both files, the JSON form, and what it refuses."""

from __future__ import annotations

import json
import tomllib
from hashlib import sha256
from pathlib import Path

import pytest
from typer.testing import CliRunner

from scenelux.cli.luminaire import app
from scenelux.errors import InputError
from scenelux.names import CALCULATED_FROM_BEAM
from scenelux.photometry import flux_lm, peak, read_lm63
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


FLOOD = ("--flux", "4200 lm", "--peak", "4.0 kcd", "--beam-angle", "60 deg", "--throw", "1 lx at 62 m")


def test_the_table_says_every_claim_and_how_sure_the_beam_is(tmp_path: Path) -> None:
    text = ask("fit", str(tmp_path / "flood.ies"), *FLOOD)
    for words in ("flux delivered", "peak", "1 lx at 62 m", "beam angle", "fitted from several figures"):
        assert words in text
    assert "% in the beam, " in text and "% outside it" in text and "cosine-power" in text
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flood.ies", "flood.toml"]


def test_the_file_states_its_claims_and_the_card_names_it(tmp_path: Path) -> None:
    out = tmp_path / "flood.ies"
    found = json.loads(ask("fit", str(out), *FLOOD, "--title", 'My "flood"', "--kind", "flood", "--json"))
    file = read_lm63(out.read_bytes())
    said = [text for key, text in file.keywords if key == "_CLAIM"]
    assert said == ["flux delivered: 4,200 lm", "peak: 4,000 cd", "1 lx at 62 m: 1 lx", "beam angle: 60 deg"]
    assert CALCULATED_FROM_BEAM in file.text("TESTLAB") and file.warnings == ()
    assert sum(key == "OTHER" and "Fit of" in text for key, text in file.keywords) == 4
    assert flux_lm(file.distribution) == pytest.approx(found["beam"]["flux_lm"], rel=1e-5)
    fitted_peak = next(one["fitted"] for one in found["residuals"] if one["claim"] == "peak")
    assert peak(file.distribution).candela == pytest.approx(fitted_peak, rel=1e-3)
    card = tomllib.loads((tmp_path / "flood.toml").read_text(encoding="utf-8"))
    assert card["sha256"] == sha256(out.read_bytes()).hexdigest()
    assert (card["name"], card["kind"], card["file"]) == ('My "flood"', "flood", "flood.ies")
    assert card["data_class"] == found["data_class"] == "fitted from several figures"
    assert card["source"] == {"title": "Data sheet, fitted", "status": "own"}


def test_the_card_can_be_shown(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    found = json.loads(ask("fit", "flood.ies", "--flux", "4200 lm", "--across", "80 deg", "--up", "40 deg", "--json"))
    shown = json.loads(ask("show", "flood.toml", "--json"))
    assert shown["data_class"] == found["data_class"] and shown["source"]["status"] == "own"
    assert shown["flux_lm"] == pytest.approx(4200, rel=1e-5)
    assert shown["beam_angle_deg"]["across"] == pytest.approx(80, abs=0.01)
    assert shown["beam_angle_deg"]["up"] == pytest.approx(40, abs=0.01)


def test_json_is_one_document(tmp_path: Path) -> None:
    found = json.loads(ask("fit", str(tmp_path / "a.ies"), *FLOOD, "--json"))
    assert {"claims", "form", "beam", "residuals", "uncertainty_percent", "data_class", "warnings", "files"} <= set(
        found
    )
    assert set(found["uncertainty_percent"]) == {"in_beam", "outside_beam"}
    assert found["claims"]["illuminance"] == [[1.0, 62.0]] and found["claims"]["peak_cd"] == 4000
    assert found["files"] == [str(tmp_path / "a.ies"), str(tmp_path / "a.toml")]


def test_us_units_mean_the_same(tmp_path: Path) -> None:
    """1 fc at 60 ft is 3600 cd, since a footcandle is a lumen on a square foot."""
    us = json.loads(ask("fit", str(tmp_path / "a.ies"), "--throw", "1 fc at 60 ft", "--beam-angle", "40°", "--json"))
    cd = json.loads(ask("fit", str(tmp_path / "b.ies"), "--peak", "3600 cd", "--beam-angle", "40 deg", "--json"))
    assert us["beam"]["flux_lm"] == pytest.approx(cd["beam"]["flux_lm"], rel=1e-5)


def test_points_in_candela_and_in_percent_and_from_a_table(tmp_path: Path) -> None:
    points = ("--point", "10,0,85 %", "--point", "20 deg, 0, 50 %", "--point", "0,-20,50%", "--peak", "4000 cd")
    found = json.loads(ask("fit", str(tmp_path / "a.ies"), *points, "--json"))
    assert found["claims"]["relative_points"] == [[10, 0, 85], [20, 0, 50], [0, -20, 50]]
    table = tmp_path / "points.csv"
    table.write_text(
        "# basis: measured\npoint,cd\nH-V,4000\nH-10R,3400\nH-20R,2000\nH-20L,2000\n20D-V,2000\n20U-V,2000\n"
    )
    listed = json.loads(ask("fit", str(tmp_path / "b.ies"), "--points", str(table), "--json"))
    assert [0.0, 0.0, 4000.0] in listed["claims"]["points"] and [20.0, 0.0, 2000.0] in listed["claims"]["points"]
    assert listed["beam"]["flux_lm"] == pytest.approx(found["beam"]["flux_lm"], rel=0.05)


AMBER = """# basis: measured
point;measured [cd]
2.5D-10L;89.2
2.5D-5R;274.7
2.5D-20R;89.2
H-20L;21.7
H-5L;299.4
H-V;435.6
2.5U-5L;363.9
2.5U-5R;600.0
2.5U-10R;529.5
5U-5R;493.5
10U-5R;103.5
10U-20R;33.6
10D-20L;0.2
"""  # invented


def test_points_of_a_table_keep_their_names_and_move_the_beam(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("amber.csv").write_text(AMBER)
    text = ask("fit", "a.ies", "--points", "amber.csv")
    assert "point 10D-20L " in text and "point 2.5U-5R " in text and "-19.68" not in text
    assert "% of peak" in text and "apart, of stated" in text and "[178]" in text
    assert "elliptical-gaussian is the simplest within 2.5 points of the least" in text
    assert "centre 5." in next(line for line in text.splitlines() if line.startswith("beam  "))
    found = json.loads(ask("fit", "b.ies", "--points", "amber.csv", "--json"))
    assert found["claims"]["point_names"][:2] == ["2.5D-10L", "2.5D-5R"]
    assert found["centre_deg"] == pytest.approx({"right": 5.1, "up": 2.5}, abs=0.2)
    for one in found["residuals"]:
        assert one["percent"] == pytest.approx(100 * (one["fitted"] / one["stated"] - 1), abs=0.01)
        assert one["percent_of_peak"] == pytest.approx(100 * (one["fitted"] - one["stated"]) / 600, abs=0.01)
    told = [text for key, text in read_lm63(Path("b.ies").read_bytes()).keywords if key == "OTHER"]
    assert any("centre 5." in text for text in told)


@pytest.mark.parametrize(
    "words",
    [
        ("--flux", "4000 lm", "--beam-angle", "20 deg", "--cutoff-above", "-2 deg"),
        ("--flux", "4000 lm", "--across", "40 deg", "--up", "20 deg", "--cutoff-above", "3 deg"),
        ("--points", "amber.csv"),
        FLOOD,
    ],
)
def test_the_finished_beam_is_told_as_show_tells_it(
    words: tuple[str, ...], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("amber.csv").write_text(AMBER)
    found = json.loads(ask("fit", "a.ies", *words, "--json"))["finished"]
    shown = json.loads(ask("show", "a.toml", "--json"))
    assert (found["flux_lm"], found["peak_cd"]) == pytest.approx((shown["flux_lm"], shown["peak_cd"]), rel=1e-3)
    for key in ("beam_angle_deg", "field_angle_deg"):
        for plane in ("across", "up"):
            if shown[key][plane] is None:
                assert found[key][plane] is None and "plane" in found[key]["reason"]
            else:
                assert found[key][plane] == pytest.approx(shown[key][plane], abs=0.02)


def test_a_cut_beam_says_its_claimed_and_its_finished_angles(tmp_path: Path) -> None:
    text = ask(
        "fit", str(tmp_path / "a.ies"), "--flux", "4000 lm", "--beam-angle", "20 deg", "--cutoff-above", "-2 deg"
    )
    assert "beam angle before the cut " in text and "as written   flux 4,000 lm, peak " in text
    assert (
        "beam angle   none across, 8.2 deg up (50 % of the peak); the level plane through the beam axis stays" in text
    )


def test_a_lone_dot_may_stand_between_thousands(tmp_path: Path) -> None:
    def told(*words: str) -> list[str]:
        found = json.loads(ask("fit", str(tmp_path / "a.ies"), *words, "--beam-angle", "40 deg", "--force", "--json"))
        return [one["sentence"] for one in found["warnings"] if one["code"] == 179]

    assert told("--flux", "4.200 lm") == ["--flux 4.200 lm is read as 4.2 lm, not as 4200"]
    assert told("--peak", "12.000cd") == ["--peak 12.000cd is read as 12 cd, not as 12000"]
    assert told("--throw", "1.000 lx at 1.500 m") == [
        "--throw 1.000 lx is read as 1 lx, not as 1000",
        "--throw 1.500 m is read as 1.5 m, not as 1500",
    ]
    assert told("--peak", "5 cd", "--point", "10,-5,3.200") == ["--point 3.200 cd is read as 3.2 cd, not as 3200"]
    for plain in ("4.2 lm", "0.420 lm", "4.2000 lm", "4.200 klm", "420.125 lm", "4200 lm"):
        assert told("--flux", plain) == []


def test_the_reason_of_the_choice_is_told(tmp_path: Path) -> None:
    text = ask("fit", str(tmp_path / "a.ies"), *FLOOD)
    assert "cosine-power is the simplest within 2.5 points of the least" in text
    asked = ask("fit", str(tmp_path / "b.ies"), *FLOOD, "--form", "flat-top")
    assert "flat-top was asked for" in asked
    assert "the simplest) whose misfit is within 2.5 points of the least" in " ".join(
        ask("fit", "--help").split()
    ).replace(" │ │ ", " ")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("IESNA91\n[TEST] x\nTILT=NONE\n", "t.csv: is an LM-63 file, which needs no fit; use it as it is"),
        ("# basis: measured\npoint,cd\nH-V,10\nH-5L,many\n", "t.csv:4:"),
        ("once upon a time\n", "t.csv:1:"),
        ("point,cd\nH-V,10\n5U-5R,5\nH-5L,5\n", "t.csv: holds the least that a rule asks for"),
        (
            "# basis: measured\npoint,cd\n"
            + "".join(f"{i / 100:g}U-{j}R,5\n" for i in range(1, 102) for j in range(1, 11)),
            "t.csv: has more than 1000 points",
        ),
        ("# basis: measured\npoint,cd\nH-V,10\nH-5L,5\nH-5R,5\n5U-V,900\n", "the point at 5U-V with 900 cd"),
    ],
)
def test_errors_of_a_table_name_its_place_and_its_points(text: str, sentence: str, tmp_path: Path) -> None:
    table = tmp_path / "t.csv"
    table.write_text(text)
    said = refused("fit", str(tmp_path / "a.ies"), "--points", str(table), "--peak", "10 cd")
    assert sentence in said and "--row" not in said and "\n" not in said, said


def test_raw_lumens_are_taken_with_a_warning(tmp_path: Path) -> None:
    raw = ask("fit", str(tmp_path / "a.ies"), "--flux", "8 klm", "--flux-kind", "raw", "--peak", "12000 cd",
              "--beam-angle", "35 deg")  # fmt: skip
    assert "[170]" in raw and "10 to 40 %" in raw and "an upper limit" in raw
    offered = ask("fit", str(tmp_path / "b.ies"), "--flux", "8 klm", "--peak", "12000 cd", "--beam-angle", "35 deg")
    assert "[171]" in offered and "bare chips" in offered
    assert "Warning" in (tmp_path / "b.ies").read_text()


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("x.ies",), "how much light leaves the lamp is open"),
        (("x.ies", "--flux", "900 lm"), "the width of the beam is open"),
        (("x.ldt", *FLOOD), '"x.ldt" does not end in .ies'),
        (("x.ies", "--flux", "5 cd", "--beam-angle", "60 deg"), '--flux "5 cd" is a luminous intensity'),
        (("x.ies", "--flux", "0 lm", "--beam-angle", "60 deg"), '--flux "0 lm" is out of range; give lumens above 0'),
        (("x.ies", "--flux", "5 lm", "--beam-angle", "170 deg"), '--beam-angle "170 deg" is out of range'),
        (("x.ies", "--flux", "5 lm", "--flux-kind", "gross", "--beam-angle", "17 deg"), '--flux-kind "gross"'),
        (("x.ies", "--flux", "5 lm", "--form", "laser", "--beam-angle", "17 deg"), '--form "laser" is not a form'),
        (("x.ies", "--throw", "1 lx", "--beam-angle", "17 deg"), '--throw "1 lx" is no illuminance at a distance'),
        (("x.ies", "--throw", "1 lx at 62", "--beam-angle", "17 deg"), '--throw "1 lx at 62" has no unit'),
        (("x.ies", "--throw", "1 lx at 0 m", "--beam-angle", "17 deg"), "--throw"),
        (("x.ies", "--point", "1,2", "--beam-angle", "17 deg"), '--point "1,2" is not a point'),
        (("x.ies", "--point", "1,2,nan", "--beam-angle", "17 deg"), '--point "1,2,nan"'),
        (("x.ies", "--point", "1,99,50 cd", "--beam-angle", "17 deg"), "lies behind the lamp"),
        (("x.ies", "--points", "no.csv", "--beam-angle", "17 deg"), "no.csv"),
        (("x.ies", "--beam-angle", "17 deg", "--across", "17 deg", "--flux", "9 lm"), "--beam-angle"),
        (("x.ies", *FLOOD, "--kind", "lantern"), '--kind "lantern" is not a kind of luminaire'),
        (("x.ies", *FLOOD, "--title", ""), "--title"),
        (("x.ies", *FLOOD, "--title", "two\nlines"), "--title"),
        (("x.ies", *FLOOD[2:], "--flux", "900 lm"), "needs at least"),
        (
            ("x.ies", "--flux", "4,200 lm", "--beam-angle", "40 deg"),
            "has a comma, which could mark thousands or decimals",
        ),
        (("x.ies", *FLOOD, "--throw", "0.25 lx at 200 m"), "10,000 cd"),
        (("no/such/x.ies", *FLOOD), "cannot be written"),
        (("a" * 300 + ".ies", *FLOOD), "cannot be written"),
    ],
)
def test_bad_input_is_one_sentence_and_writes_nothing(
    words: tuple[str, ...], sentence: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    said = refused("fit", *words)
    assert sentence in said and "\n" not in said, said
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("there", ["flood.ies", "flood.toml"])
def test_both_files_or_none(there: str, tmp_path: Path) -> None:
    (tmp_path / there).write_text("mine")
    assert "is already there" in refused("fit", str(tmp_path / "flood.ies"), *FLOOD)
    assert [path.name for path in tmp_path.iterdir()] == [there] and (tmp_path / there).read_text() == "mine"
    ask("fit", str(tmp_path / "flood.ies"), *FLOOD, "--force")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["flood.ies", "flood.toml"]
    first = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    ask("fit", str(tmp_path / "flood.ies"), *FLOOD)  # the same bytes again do no harm
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == first


def test_a_folder_in_the_place_of_the_card_is_refused(tmp_path: Path) -> None:
    (tmp_path / "flood.toml").mkdir()
    assert "is a folder" in refused("fit", str(tmp_path / "flood.ies"), *FLOOD, "--force")
    assert [path.name for path in tmp_path.iterdir()] == ["flood.toml"]


def test_help_shows_an_example() -> None:
    assert "Example: scenelux luminaire fit lamp.ies" in " ".join(ask("fit", "--help").split())


def test_a_study_uses_the_uncertainty_of_the_card(tmp_path: Path) -> None:
    """Areas by the figure for the beam, glare by that for outside it: a data sheet says nothing of the light there."""
    from scenelux.placement import place
    from scenelux.scene.read import read_scene
    from scenelux.study.verdicts import uncertainty_of

    out = tmp_path / "my-flood.ies"
    result = RUN.invoke(
        app, ["fit", str(out), "--flux", "4200 lm", "--beam-angle", "60 deg", "--throw", "1 lx at 62 m"]
    )
    assert result.exit_code == 0
    card = (tmp_path / "my-flood.toml").read_text()
    assert '[uncertainty]\nin_beam = "19 %"\noutside_beam = "100 %"' in card
    scene = (shipped("scenes") / "causeway-truck.toml").read_text()
    (tmp_path / "scene.toml").write_text(scene.replace('"tail-flood-round"', '"my-flood"'))
    placed = place(read_scene(tmp_path / "scene.toml"))
    assert uncertainty_of(placed) == pytest.approx(0.19) and uncertainty_of(placed, at_eyes=True) == pytest.approx(1.0)
    assert (
        "off by up to 19 % in the beam and 100 % outside it"
        in RUN.invoke(app, ["show", str(tmp_path / "my-flood.toml")]).stdout
    )
