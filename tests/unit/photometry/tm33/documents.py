"""Builds small TM-33 documents part by part, for the tests of this folder."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Point = tuple[float, float, float]

HEADER = "<Header><Manufacturer>invented</Manufacturer></Header>"


def points(h: Sequence[float], v: Sequence[float], candela: Sequence[Sequence[float]]) -> list[Point]:
    """(h, v, candela) of a grid, plane by plane."""
    return [(one, two, candela[i][j]) for i, one in enumerate(h) for j, two in enumerate(v)]


def point_lines(listed: Iterable[Point], element: str = "IntData", names: tuple[str, str] = ("h", "v")) -> str:
    return "\n".join(f'<{element} {names[0]}="{h:g}" {names[1]}="{v:g}">{cd:g}</{element}>' for h, v, cd in listed)


def document(
    listed: Sequence[Point] | str = ((0, 0, 100), (0, 45, 50), (0, 90, 0)),
    *,
    root: str = "IESTM33-22",
    version: str = "<Version>1.1</Version>",
    header: str = HEADER,
    before: str = "",
    quantity: str = "<Quantity>1</Quantity>",
    watts: str = "<InputWattage>10</InputWattage>",
    emitter: str = "",
    absolute: str = "<AbsolutePhotometry>true</AbsolutePhotometry>",
    symm: str = "<Symm>Symm_Full</Symm>",
    multiplier: str = "",
    counts: str | None = None,
    flux: str = "",
    data: str | None = None,
    after: str = "",
    declaration: str = '<?xml version="1.0" encoding="UTF-8"?>\n',
) -> str:
    """A rotational lamp of 100 cd falling to 0, unless told otherwise."""
    if counts is None:
        counts = ""
        if not isinstance(listed, str):
            found = (len(listed), len({one[0] for one in listed}), len({one[1] for one in listed}))
            names = ("NumberMeasured", "NumberHorz", "NumberVert")
            counts = "".join(f"<{name}>{count}</{name}>" for name, count in zip(names, found, strict=True))
    lines = listed if isinstance(listed, str) else point_lines(listed)
    intensity = f"<LuminousIntensity>{absolute}{symm}{multiplier}{counts}\n{lines}\n</LuminousIntensity>"
    inner = f"<LuminousData>{intensity}{flux}</LuminousData>" if data is None else data
    one = f"<Emitter>{quantity}{watts}{emitter}{inner}</Emitter>"
    opened = root if " " not in root else root.split()[0]
    return f"{declaration}<{root}>{version}{header}{before}{one}{after}</{opened}>"
