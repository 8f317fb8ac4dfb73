"""TM-33 against worked examples, and against LM-63 files of the same lamps.

The figures are calculated from the stated formulas outside this project; the direction vectors of types A and B are
those of ANSI/IESNA LM-63-2002, clause 3.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scenelux.photometry import direction, flux_lm, read_lm63
from scenelux.photometry.tm33.read import read_tm33
from scenelux.photometry.tm33.write import write_tm33

Agreement = Callable[..., None]
FORMULA = "calculated from the stated formula"

HEAD = "IESNA:LM-63-2002\n[TEST] t\n[TESTLAB] l\n[ISSUEDATE] d\n[MANUFAC] m\n[OTHER] a\n[OTHER] b\nTILT=NONE\n"
ROTATIONAL = HEAD + "2 -1 1.2 3 1 1 2 -0.08 -0.08 0\n0.9 1 24\n0 40 90\n0\n500 350 0\n"
CROSS = HEAD + "1 -1 1 3 3 {} 2 0 0 0\n1 1 24\n-90 0 90\n-90 0 90\n0 0 0\n0 1000 0\n0 0 0\n"
SIDES = (
    HEAD
    + "1 -1 1 4 5 1 2 0.1 0.2 0.05\n1 1 24\n0 10 45 90\n0 40 90 130 180\n"
    + "\n".join(f"2000 {1500 - 90 * i} {321.25 + 7 * i} 0" for i in range(5))
)


def xml(points: list[tuple[float, float, float]], kind: str, symm: str, factors: bool) -> bytes:
    counts = (len(points), len({h for h, _, _ in points}), len({v for _, v, _ in points}))
    names = ("NumberMeasured", "NumberHorz", "NumberVert")
    numbers = "".join(f"<{name}>{count}</{name}>" for name, count in zip(names, counts, strict=True))
    lines = "".join(f'<IntData h="{h:g}" v="{v:g}">{cd:g}</IntData>' for h, v, cd in points)
    multiplier, ballast = (
        ("<Multiplier>1.2</Multiplier>", "<BallastFactor>0.9</BallastFactor>") if factors else ("", "")
    )
    return (
        f"<IESTM33-22><Version>1.1</Version><Gonioradiometer><Type>{kind}</Type></Gonioradiometer><Emitter>"
        f"<Quantity>1</Quantity><InputWattage>24</InputWattage>{ballast}<LuminousData><LuminousIntensity>"
        f"<Symm>{symm}</Symm>{multiplier}{numbers}{lines}</LuminousIntensity></LuminousData></Emitter></IESTM33-22>"
    ).encode()


def test_rotational_example(agreement: Agreement) -> None:
    points = [(0.0, 90.0, 0.0), (0.0, 0.0, 500.0), (0.0, 40.0, 350.0)]
    file = read_tm33(xml(points, "CIE_C", "Symm_Full", True))
    agreement("TM-33, rotational, both factors: flux [lm]", 1483.55, flux_lm(file.distribution), FORMULA, "calculated",
              0.005)  # fmt: skip
    for v, candela in ((20, 459), (65, 189), (91, 0)):
        ours = float(file.distribution.candela_at(123, v))
        agreement(f"TM-33, rotational: I({v}) [cd]", candela, ours, FORMULA, "calculated", 1e-6)


@pytest.mark.parametrize(("kind", "peak"), [("A", (1, 0, 0)), ("B", (0, 0, -1))])
def test_types_a_and_b(agreement: Agreement, kind: str, peak: tuple[int, int, int]) -> None:
    points = [(h, v, 1000.0 if h == v == 0 else 0.0) for h in (-90.0, 0.0, 90.0) for v in (-90.0, 0.0, 90.0)]
    lamp = read_tm33(xml(points[::-1], f"IES_{kind}", "Symm_None", False)).distribution
    agreement(f"TM-33, type {kind}: flux [lm]", 2000, flux_lm(lamp), FORMULA, "calculated", 1e-6)
    assert direction(lamp.photometric_type, 0, 0) == pytest.approx(np.array(peak))
    assert float(lamp.intensity(peak)) == 1000
    corner = (0.5, -0.5, 0.5**0.5) if kind == "A" else (0.5, -(0.5**0.5), -0.5)
    agreement(
        f"TM-33, type {kind}: I at (45, 45) [cd]", 250, float(lamp.intensity(corner)), FORMULA, "calculated", 1e-6
    )


@pytest.mark.parametrize(
    "text", [ROTATIONAL, CROSS.format(2), CROSS.format(3), SIDES], ids=["round", "B", "A", "sides"]
)
def test_the_same_lamp_as_lm_63_and_as_tm_33(text: str) -> None:
    first = read_lm63(text.encode())
    second = read_tm33(write_tm33(first)[0])
    assert flux_lm(second.distribution) == pytest.approx(flux_lm(first.distribution), rel=1e-5)
    directions = np.random.default_rng(1).normal(size=(2000, 3))
    assert second.distribution.intensity(directions) == pytest.approx(
        first.distribution.intensity(directions), rel=5e-6, abs=1e-6
    )
    factors = (("OTHER", "The candelas include the multiplier 1.2, the ballast factor 0.9"),)
    assert (
        second.keywords == first.keywords + (factors if first.factor != 1.0 else ()) and second.opening == first.opening
    )
    assert second.input_watts == first.input_watts and second.symmetry.split(" and ")[0] in (first.symmetry, "none")
