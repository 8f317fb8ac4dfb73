"""An EULUMDAT file is told by its content, a faulty one too, and nothing else is taken for one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from eulumdat_by_line import eulumdat

from scenelux.photometry.eulumdat.look import looks_like_eulumdat

LUMINAIRES = Path(__file__).resolve().parents[4] / "luminaires"

TOLD: dict[str, dict[str, Any]] = {
    "plain": {},
    "CR alone": {"end": "\r"},
    "LF alone": {"end": "\n"},
    "CR CR LF": {"end": "\r\r\n"},
    "no texts": {"company": "", "texts": ("",) * 5},
    "texts are numbers": {"company": "7", "texts": ("1", "2", "3", "4", "5")},
    "decimals": {"step_c": "22,5", "step_gamma": "2.5", "number_of_planes": "1.0"},
    "steps are empty": {"step_c": "", "step_gamma": ""},
    "blanks around": {"symmetry": " 1 ", "step_c": "\t0"},
    "no such symmetry": {"symmetry": "7"},
    "symmetry is a word": {"symmetry": "one"},
    "a word for a size": {"dff": "all"},
    "Western letters": {"company": "Löwenlicht"},
}


@pytest.mark.parametrize("change", TOLD.values(), ids=TOLD)
def test_told(change: dict[str, Any]) -> None:
    assert looks_like_eulumdat(eulumdat(**change))


def test_a_large_or_cut_file_is_told_by_its_beginning() -> None:
    assert looks_like_eulumdat(eulumdat() + b"1\r\n" * 1_000_000)
    assert looks_like_eulumdat(b"\r\n".join(eulumdat().split(b"\r\n")[:8]))


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"Invented",
        b"\n" * 100,
        b"<IESTM33-22>\n" + b"1\n" * 60,
        b"IESNA91\n[TEST] t\nTILT=NONE\n1 -1 1 3 1 1 2 0 0 0\n1 1 10\n0 45 90\n0\n9 5 0\n",
        b"old free text\nTILT=NONE\n1\n-1\n1\n3\n1\n1\n2\n0\n0\n0\n1\n1\n10\n0\n45\n90\n0\n9\n5\n0\n",
        b"point,candela\n10U-5L,20\nHV,500\n5D-V,100\n" + b"1,2\n" * 40,
        b"V\\H;-10;0;10\n5;1;2;1\n0;2;4;2\n-5;1;2;1\n" * 10,
        b"one word a line\n" * 60,
        b"\xff\xfe\x00\x01" * 100,
    ],
    ids=["nothing", "a word", "line ends", "XML", "LM-63", "LM-63, a number a line", "H-V", "grid", "words", "binary"],
)
def test_not_told(text: bytes) -> None:
    assert not looks_like_eulumdat(text)


def test_no_shipped_luminaire_is_taken_for_one() -> None:
    for path in sorted(LUMINAIRES.iterdir()):
        if path.is_file():
            assert not looks_like_eulumdat(path.read_bytes()), path.name
