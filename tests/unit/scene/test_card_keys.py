"""Keys of a luminaire card beyond its beam: supply, colour, and what they say of its file."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from scenelux.errors import DocumentError
from scenelux.names import COLOUR_WORDS
from scenelux.scene.cards import Card
from scenelux.scene.catalogue import Catalogue, read_card
from scenelux.shipped import shipped

CARD = """\
format = "scenelux luminaire 1"
name = "Test flood"
kind = "flood"
power = "38 W"
current = "2.97 A"
data_class = "fitted from one figure"

[beam]
form = "cosine-power"
flux = "4.2 klm"
beam_angle = "60 deg"

[supply]
voltage = "12.8 V"

[source]
title = "Demonstration data"
status = "invented"
"""
POWER = 'power = "38 W"'
NOMINAL = 'voltage = "12.8 V"'


def card_of(folder: Path, text: str) -> Card:
    (folder / "card.toml").write_text(text)
    return read_card(folder / "card.toml", folder)[0]


def with_file(*lines: str) -> str:
    beam = CARD[CARD.index("[beam]") : CARD.index("[supply]")]
    return CARD.replace(beam, "").replace(POWER, "\n".join((POWER, 'file = "flood.ies"', *lines)))


def test_supply_in_si(tmp_path: Path) -> None:
    curve = 'behaviour = "stated curve"\ncurve = [["9 V", "60 %"], ["12.8 V", 1.0], ["16 V", "104 %"]]'
    card = card_of(tmp_path, CARD.replace(NOMINAL, f'{NOMINAL}\nrange = ["9 V", "0.032 kV"]\n{curve}'))
    assert card.supply is not None
    assert (card.current_a, card.supply.voltage_v, card.supply.range_v) == (2.97, 12.8, (9.0, 32.0))
    assert card.supply.behaviour == "stated curve"
    assert card.supply.curve == ((9.0, 0.6), (12.8, 1.0), (16.0, 1.04))


def test_nothing_stated_stays_nothing(tmp_path: Path) -> None:
    text = CARD.replace("[supply]\n" + NOMINAL, "").replace('current = "2.97 A"', "")
    card = card_of(tmp_path, text)
    assert (card.supply, card.current_a, card.chromaticity, card.spectrum, card.sp_ratio) == (None,) * 5
    assert (card.basis, card.lamp_set, card.emitter, card.apply_tilt_table) == (None, None, None, False)
    assert (card.colour, card.colour_stated) == ("white", None)


@pytest.mark.parametrize("word", [*COLOUR_WORDS, "white 5000 K", "white 1000 K", "white 20000 K"])
def test_colour_words(word: str, tmp_path: Path) -> None:
    card = card_of(tmp_path, CARD.replace(POWER, f'{POWER}\ncolour = "{word}"'))
    assert card.colour == card.colour_stated == word


def test_colour_figures(tmp_path: Path) -> None:
    text = CARD.replace(POWER, f"{POWER}\nchromaticity = [0.57, 0.425]\nsp_ratio = 0.4")
    card = card_of(tmp_path, text)
    assert (card.chromaticity, card.sp_ratio, card.colour_stated) == ((0.57, 0.425), 0.4, None)


def test_keys_about_the_file(tmp_path: Path) -> None:
    keys = ('basis = "required minimum"', "apply_tilt_table = true", "lamp_set = 2")
    card = card_of(tmp_path, with_file(*keys))
    assert (card.basis, card.apply_tilt_table, card.lamp_set, card.emitter) == ("required minimum", True, 2, None)
    with pytest.raises(DocumentError, match="emitter 1 stands beside lamp_set; give lamp_set for an EULUMDAT file"):
        card_of(tmp_path, with_file("lamp_set = 2", "emitter = 1"))


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        ('"2.97 A"', '"3.2 A"',
         '5:11: current "3.2 A" at 12.8 V is 40.96 W, more than 5 % from the power of 38 W; '
         "correct power, current or voltage."),
        ('"2.97 A"', '"2.97 V"',
         '5:11: current "2.97 V" is a voltage, not a current; give a current, such as "2.97 A" or "350 mA".'),
        ('"2.97 A"', '"0 A"', '5:11: current "0 A" is out of range; give a current above 0 A and up to 1000 A.'),
        (NOMINAL, 'voltage = "12,8 V"',
         '14:11: supply.voltage "12,8 V" has a decimal comma; write a decimal point, such as "12.8 V".'),
        (NOMINAL, 'range = ["9 V", "32 V"]',
         "13:1: supply.voltage is missing; give a voltage above 0 V and up to 1000 V, such as \"12.8 V\"."),
        (NOMINAL, f'{NOMINAL}\nrange = ["32 V", "9 V"]',
         '15:9: supply.range ["32 V", "9 V"] does not rise; give the smaller end first and then the larger one.'),
        (NOMINAL, f'{NOMINAL}\nrange = ["18 V", "32 V"]',
         '14:11: supply.voltage "12.8 V" lies outside the range; give a voltage of 18 to 32 V.'),
        (NOMINAL, f'{NOMINAL}\nrange = ["18 V"]',
         "15:9: supply.range [\"18 V\"] has too few parts; give 2: a voltage above 0 V and up to 1000 V, such as "
         '"12.8 V".'),
        (NOMINAL, f'{NOMINAL}\nbehaviour = "regulated"',
         '15:13: supply.behaviour "regulated" is not a word that is known here; '
         "known: constant power, constant current, resistive, stated curve."),
        (NOMINAL, f'{NOMINAL}\nbehaviour = "stated curve"',
         '13:1: supply has only one of a curve and its behaviour; give both behaviour = "stated curve" and curve, '
         "or neither."),
        (NOMINAL, f'{NOMINAL}\nbehaviour = "stated curve"\ncurve = [["12.8 V", 1.0]]',
         '16:9: supply.curve [["12.8 V", 1.0]] is no curve; give two or more points with rising voltages.'),
        (NOMINAL, f'{NOMINAL}\nbehaviour = "stated curve"\ncurve = [["9 V", 0.6], ["12 V", 0.9]]',
         '16:9: supply.curve [["9 V", 0.6], ["12 V", 0.9]] does not reach the nominal voltage; '
         "give points on both sides of 12.8 V."),
        (NOMINAL, f'{NOMINAL}\nbehaviour = "stated curve"\ncurve = [["9 V", 0.6], ["16 V", 1.0]]',
         '16:9: supply.curve [["9 V", 0.6], ["16 V", 1.0]] gives 81.7 % at the nominal voltage; '
         "give shares of the light at the nominal voltage, which is 100 % there."),
        (NOMINAL, f'{NOMINAL}\nbehaviour = "stated curve"\ncurve = [["9 V", 60], ["16 V", 1.0]]',
         '16:18: supply.curve[0][1] 60 is out of range; give a ratio from 0 to 3; did you mean "60 %".'),
        (POWER, f'{POWER}\ncolour = "cool white"',
         '5:10: colour "cool white" is not a colour that is known here; give "white 5000 K" or one of the words '
         "white, amber, yellow, selective yellow, red, blue, green."),
        (POWER, f'{POWER}\ncolour = "white 500 K"',
         '5:10: colour "white 500 K" has a colour temperature outside 1,000 to 20,000 K; give "white 5000 K" or one '
         "of the words white, amber, yellow, selective yellow, red, blue, green."),
        (POWER, f"{POWER}\nchromaticity = [0.7, 0.4]",
         "5:16: chromaticity [0.7, 0.4] is not a chromaticity; "
         "give x and y of CIE 1931 such as [0.570, 0.425], in sum at most 1."),
        (POWER, f"{POWER}\nchromaticity = [57, 42.5]",
         "5:17: chromaticity[0] 57 is out of range; give a number from 0 to 1 (1 more problem follows)."),
        (POWER, f'{POWER}\nchromaticity = [0.5, 0.4]\nspectrum = "amber.csv"',
         "5:16: chromaticity [0.5, 0.4] stands beside a spectrum; give one: the chromaticity follows from the "
         "spectrum."),
        (POWER, f"{POWER}\nsp_ratio = 0", "5:12: sp_ratio 0 is out of range; give a number above 0 and up to 100."),
        (POWER, f'{POWER}\nbasis = "measured"',
         '5:9: basis "measured" belongs to a photometric file, and the card has none; leave it out.'),
        (POWER, f"{POWER}\nemitter = 0", "5:11: emitter 0 is not a count; give a whole number of 1 or more."),
        (POWER, f'{POWER}\napply_tilt_table = "yes"',
         '5:20: apply_tilt_table "yes" is neither true nor false; give true or false, without quotes.'),
        (POWER, f"{POWER}\nspectrum = 5", "5:12: spectrum 5 is not text; give one line of text."),
    ],
)  # fmt: skip
def test_wrong_keys(old: str, new: str, sentence: str, tmp_path: Path) -> None:
    assert CARD.count(old) == 1
    with pytest.raises(DocumentError) as caught:
        card_of(tmp_path, CARD.replace(old, new))
    assert str(caught.value).partition("card.toml:")[2] == sentence


def test_a_spectrum_beside_the_card(tmp_path: Path) -> None:
    (tmp_path / "flood.toml").write_text(CARD.replace(POWER, f'{POWER}\nspectrum = "flood.csv"'))
    (tmp_path / "flood.csv").write_bytes(b"no spectrum is read here\n")
    luminaire = Catalogue.beside(tmp_path).find("flood")
    assert luminaire.spectrum == b"no spectrum is read here\n"
    assert luminaire.spectrum_file is not None and luminaire.spectrum_file.endswith("flood.csv")
    assert [one.file for one in luminaire.inputs] == ["flood.toml", "flood.csv"]
    assert luminaire.inputs[1].sha256 == hashlib.sha256(luminaire.spectrum).hexdigest()


@pytest.mark.parametrize(
    ("name", "problem"),
    [
        ("none.csv", "is not there"),
        ("../x.csv", "lies outside"),
        ("/etc/passwd", "lies outside the folder of the card"),
    ],
)
def test_a_spectrum_stays_in_the_folder(name: str, problem: str, tmp_path: Path) -> None:
    (tmp_path / "flood.toml").write_text(CARD.replace(POWER, f'{POWER}\nspectrum = "{name}"'))
    with pytest.raises(DocumentError, match=f'flood.toml:5:12: spectrum "{name}" {problem}'):
        Catalogue.beside(tmp_path).find("flood")


@pytest.mark.parametrize("card", sorted(shipped("luminaires").glob("*.toml")), ids=lambda path: path.stem)
def test_shipped_cards_are_complete(card: Path) -> None:
    shown = Catalogue.beside(Path("/nowhere")).find(card.stem).card
    assert shown.power_w and shown.current_a and shown.colour_stated
    assert shown.supply is not None and shown.supply.range_v is not None and shown.supply.behaviour is not None
    assert shown.source.status == "invented"


def test_every_key_of_a_card_is_explained() -> None:
    root = Path(__file__).resolve().parents[3]
    known = json.loads((root / "shared" / "schema" / "luminaire.schema.json").read_text(encoding="utf-8"))
    page = (root / "luminaires" / "README.md").read_text(encoding="utf-8")
    keys = {key for table in (known, *known["$defs"].values()) for key in table["properties"]}
    assert not {key for key in keys if f"`{key}`" not in page}
