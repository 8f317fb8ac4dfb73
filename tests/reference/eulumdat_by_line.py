"""EULUMDAT files written line by line from the table of fields, by nothing of the package."""

from __future__ import annotations

from collections.abc import Sequence

Row = Sequence[float | str]
LampSet = tuple[str, str, str, str, str, str]

ONE_SET: LampSet = ("1", "LED module", "1000", "white 5000 K", "70-79", "24")


def eulumdat(
    symmetry: int | str = 1,
    c: Row = (0,),
    gamma: Row = (0, 40, 90),
    rows: Sequence[Row] = ((500, 350, 0),),
    *,
    sets: Sequence[LampSet] = (ONE_SET,),
    end: str = "\r\n",
    code_page: str = "cp1252",
    company: str = "Invented works",
    number_of_planes: str | None = None,
    number_of_gammas: str | None = None,
    number_of_sets: str | None = None,
    step_c: str = "0",
    step_gamma: str = "0",
    texts: Sequence[str] = ("Report 7", "Flood", "F-1", "flood", "25.11.2026 / tester"),
    size_mm: Row = (300, 200, 80),
    opening_mm: Row = (240, 120, 0, 0, 0, 0),
    dff: str = "100",
    lorl: str = "0",
    conversion: str = "1",
    tilt: str = "0",
    ratios: Row = (0,) * 10,
    rest: Sequence[str] = (),
) -> bytes:
    """The bytes of a file; what is not given is that of a small rotational lamp of 1000 lm."""
    lines: list[str] = [company]  # 1
    lines += ["1", str(symmetry)]  # 2, 3
    lines += [number_of_planes or str(len(c)), step_c]  # 4, 5
    lines += [number_of_gammas or str(len(gamma)), step_gamma]  # 6, 7
    lines += texts  # 8 to 12
    lines += [str(one) for one in size_mm]  # 13 to 15
    lines += [str(one) for one in opening_mm]  # 16 to 21
    lines += [dff, lorl, conversion, tilt]  # 22 to 25
    lines += [number_of_sets or str(len(sets))]  # 26
    for lamp_set in sets:
        lines += lamp_set
    lines += [str(one) for one in ratios]
    lines += [str(one) for one in c]
    lines += [str(one) for one in gamma]
    for row in rows:
        lines += [str(one) for one in row]
    lines += rest
    return "".join(line + end for line in lines).encode(code_page)
