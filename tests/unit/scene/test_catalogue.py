"""Luminaires are found near the scene before the shipped ones, and a wrong card is told at its own place."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from broken_scenes import BASE

from scenelux.errors import DocumentError, LimitError
from scenelux.names import CALCULATED_FROM_BEAM
from scenelux.scene import catalogue
from scenelux.scene.catalogue import Catalogue, read_card
from scenelux.scene.read import check_document, read_scene
from scenelux.shipped import shipped

CARD = """\
format = "scenelux luminaire 1"
name = "Test flood"
kind = "flood"
power = "38 W"
data_class = "fitted from one figure"

[beam]
form = "cosine-power"
flux = "4.2 klm"
beam_angle = "60 deg"

[source]
title = "Demonstration data"
status = "invented"
"""
DATA = b"IESNA:LM-63-2002\nno photometry is read here\n"


def filed(digest: str = hashlib.sha256(DATA).hexdigest()) -> str:
    beam = CARD[CARD.index("[beam]") : CARD.index("[source]")]
    return CARD.replace(beam, "").replace("power =", f'file = "flood.ies"\nsha256 = "{digest}"\npower =')


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    scenes = tmp_path / "job" / "scenes"
    scenes.mkdir(parents=True)
    (scenes / "scene.toml").write_text(BASE)
    monkeypatch.chdir(tmp_path)
    return scenes


def refusal(file: Path, text: str) -> str:
    file.write_text(text)
    with pytest.raises(DocumentError) as caught:
        read_card(file, file.parent)
    return str(caught.value)


def test_a_card_in_si(tmp_path: Path) -> None:
    (tmp_path / "card.toml").write_text(CARD)
    card, _, read = read_card(tmp_path / "card.toml", tmp_path)
    assert card.beam is not None
    assert (card.beam.flux_lm, card.beam.beam_angle_deg, card.power_w) == (4200.0, 60.0, 38.0)
    assert (card.colour, card.face, card.opening) == ("white", None, None)
    assert read.sha256 == hashlib.sha256(CARD.encode()).hexdigest()


@pytest.mark.parametrize(
    ("old", "new", "pieces"),
    [
        ('beam_angle = "60 deg"', 'across = "60 deg"', ("beam lacks beam_angle", "beam states beam_angle")),
        ('beam_angle = "60 deg"', 'beam_angle = "60 deg"\nedge = "5 deg"', ("beam states edge",)),
        ('"60 deg"', '"200 deg"', ("10:14: beam.beam_angle", "out of range", "up to 180 deg")),
        ('"4.2 klm"', '"0 lm"', ("beam.flux", "above 0 lm")),
        ('"flood"', '"floodlight"', ("3:8: kind", 'did you mean "flood"')),
        ('"fitted from one figure"', '"measured"', ("data_class", "measured file")),
        ('power = "38 W"', 'watts = "38 W"', ("4:1: watts is not a key",)),
        ('status = "invented"', "", ("source.status is missing", '"published" or "quoted"')),
        ('"scenelux luminaire 1"', '"scenelux scene 1"', ("is not the format of a luminaire card",)),
        ('power = "38 W"', 'power = "38 W"\nface = "C 0 gamma 90"', ("only one of face and top",)),
        ('power = "38 W"', f'power = "38 W"\nsha256 = "{"0" * 64}"', ("a sha256 and no file",)),
        ('power = "38 W"', 'power = "38 W"\nsha256 = "abc"', ("sha256", "is not a SHA-256", "64 digits")),
        ('power = "38 W"', 'power = "38 W"\nfile = "x.ies"', ("needs one of file and beam",)),
        ("[source]", '[opening]\nlength = "10 cm"\n[source]', ("opening.width is missing", "a length above 0 m")),
        ("[beam]", "[bean]", ('bean is not a key', 'did you mean "beam"')),
    ],
)  # fmt: skip
def test_wrong_cards(old: str, new: str, pieces: tuple[str, ...], tmp_path: Path) -> None:
    assert CARD.count(old) == 1
    text = refusal(tmp_path / "card.toml", CARD.replace(old, new))
    assert text.endswith(".") and "card.toml:" in text
    for piece in pieces:
        assert piece in text


def test_an_opening_belongs_to_a_beam(tmp_path: Path) -> None:
    text = refusal(tmp_path / "card.toml", filed() + '[opening]\nlength = "1 m"\nwidth = "1 m"\n')
    assert "has an opening beside a file" in text


def test_nearer_cards_come_first(folder: Path) -> None:
    def flux() -> float:
        beam = read_scene(folder / "scene.toml").luminaires["tail-flood-round"].card.beam
        return beam.flux_lm if beam else 0.0

    assert flux() == 0.0  # the shipped one has a file
    for number, place in enumerate((folder.parent / "luminaires", folder / "luminaires", folder), start=1):
        place.mkdir(exist_ok=True)
        (place / "tail-flood-round.toml").write_text(CARD.replace("4.2 klm", f"{number} lm"))
        assert flux() == number


def test_the_file_of_a_card(folder: Path) -> None:
    (folder / "tail-flood-round.toml").write_text(filed())
    (folder / "flood.ies").write_bytes(DATA)
    scene = read_scene("job/scenes/scene.toml")
    luminaire = scene.luminaires["tail-flood-round"]
    assert luminaire.data == DATA
    assert (luminaire.card_file, luminaire.data_file) == ("job/scenes/tail-flood-round.toml", "job/scenes/flood.ies")
    assert [item.file for item in scene.inputs] == [
        "scene.toml", "tail-flood-round.toml", "flood.ies",
    ]  # fmt: skip
    assert scene.inputs[2].sha256 == hashlib.sha256(DATA).hexdigest()
    assert scene.inputs[0].sha256 == hashlib.sha256((folder / "scene.toml").read_bytes()).hexdigest()


@pytest.mark.parametrize(
    ("card", "piece"),
    [
        (filed("0" * 64), "sha256"),
        (filed().replace("flood.ies", "none.ies"), 'file "none.ies" is not there'),
        (filed().replace("flood.ies", "../flood.ies"), "lies outside the folder of the card"),
        (filed().replace("flood.ies", "/etc/passwd"), "lies outside the folder of the card"),
        ("format = ", "a list of sentences"),
    ],
)
def test_faults_in_a_card_keep_the_place_in_the_card(card: str, piece: str, folder: Path) -> None:
    (folder / "tail-flood-round.toml").write_text(card)
    (folder / "flood.ies").write_bytes(DATA)
    with pytest.raises(DocumentError) as caught:
        read_scene(folder / "scene.toml")
    assert str(caught.value).startswith("job/scenes/tail-flood-round.toml:")
    if piece != "a list of sentences":
        assert piece in str(caught.value)


def test_a_photometric_file_without_a_card(folder: Path) -> None:
    (folder / "own.ies").write_bytes(DATA)
    (folder / "scene.toml").write_text(BASE.replace('"tail-flood-round"', '"own.ies"', 1))
    luminaire = read_scene(folder / "scene.toml").luminaires["own.ies"]
    assert (luminaire.data, luminaire.card_file, luminaire.card.data_class) == (DATA, None, "measured file")
    assert luminaire.card.source.status == "own"


def test_large_files_are_not_read(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder / "tail-flood-round.toml").write_text(filed())
    (folder / "flood.ies").write_bytes(DATA)
    monkeypatch.setattr(catalogue, "LARGEST_PHOTOMETRIC_BYTES", 10)
    with pytest.raises(LimitError, match=r"flood\.ies: the file is larger than 10 bytes"):
        read_scene(folder / "scene.toml")
    (folder / "tail-flood-round.toml").write_text(CARD + "#" * 100_000)
    with pytest.raises(LimitError, match=r"larger than 100,000 bytes"):
        read_scene(folder / "scene.toml")


def test_a_fault_of_a_name_is_told_in_the_scene(folder: Path) -> None:
    (folder / "scene.toml").write_text(BASE.replace('"tail-flood-round"', '"cards/none.toml"', 1))
    with pytest.raises(DocumentError, match=r"scene\.toml:29:13: vehicles\[0\]\.lamps\[0\]\.luminaire .*not a file"):
        read_scene(folder / "scene.toml")


@pytest.mark.parametrize("card", sorted(shipped("luminaires").glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_cards(card: Path) -> None:
    luminaire = Catalogue.beside(Path("/nowhere")).find(card.stem)
    assert luminaire.card.source.status == "invented"
    assert (luminaire.data is None) == (luminaire.card.beam is not None)
    assert check_document(str(card)).kind == "luminaire"


def made(*words: str) -> bytes:
    return b"IESNA:LM-63-2002\r\n" + "\r\n".join(words).encode() + b"\r\nTILT=NONE\r\n[TEST] Invented, too late"


@pytest.mark.parametrize(
    ("data", "data_class", "status"),
    [
        (made("[TEST] 12-34", "[TESTLAB] A laboratory"), "measured file", "own"),
        (made(f"[TEST] None, {CALCULATED_FROM_BEAM}"), "fitted from several figures", "own"),
        (made("[TEST] Invented demonstration data", f"[TESTLAB] {CALCULATED_FROM_BEAM}"),
         "fitted from several figures", "invented"),
        (made("[TEST] 5", "[OTHER] Never Invented"), "measured file", "own"),
    ],
)  # fmt: skip
def test_a_file_without_a_card_is_as_measured_as_it_says(
    data: bytes, data_class: str, status: str, folder: Path
) -> None:
    (folder / "own.ies").write_bytes(data)
    card = Catalogue.beside(folder).find("own.ies").card
    assert (card.data_class, card.source.status) == (data_class, status)


def test_a_shipped_file_named_by_path_stays_invented(folder: Path) -> None:
    file = shipped("luminaires") / "tail-flood-round.ies"
    text = BASE.replace('"tail-flood-round"', f'"{file}"').replace('data = "invented"', 'data = "project"')
    (folder / "scene.toml").write_text(text)
    assert read_scene(folder / "scene.toml").demonstration


@pytest.mark.parametrize("name", ["a" * 300, "a" * 300 + ".ies", "a/" * 3000 + "b.toml", "a\nb", "a\x07.ies"])
def test_names_of_no_luminaire(name: str, folder: Path) -> None:
    with pytest.raises(DocumentError):
        Catalogue.beside(folder).find(name)


def test_results_record_the_same_names_from_anywhere(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (folder.parent / "luminaires").mkdir()
    (folder.parent / "luminaires" / "own.toml").write_text(CARD)
    (folder.parent.parent / "far.ies").write_bytes(DATA)
    text = BASE.replace('"tail-flood-round"', '"own"', 1).replace('"tail-flood-round"', '"../../far.ies"')
    (folder / "scene.toml").write_text(text)
    ways = [(folder.parent.parent, "job/scenes/scene.toml"), (folder.parent, "scenes/scene.toml"),
            (folder, "scene.toml"), (folder, str(folder / "scene.toml")), (folder, "../scenes/scene.toml")]  # fmt: skip
    for here, name in ways:
        monkeypatch.chdir(here)
        files = [entry.file for entry in read_scene(name).inputs]
        assert files == ["scene.toml", "../luminaires/own.toml", (folder.parent.parent / "far.ies").as_posix()]
    monkeypatch.chdir(shipped("scenes"))
    assert read_scene("causeway-truck.toml").inputs == read_scene("causeway-truck").inputs
    assert read_scene("causeway-truck").inputs[0].file == "scenes/causeway-truck.toml"
