"""How surfaces reflect, from the shipped tables: grounds, clothing, vests, paint, sheeting and bodies of vehicles."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal, NamedTuple

from scenelux.shipped import shipped
from scenelux.sources import Status

__all__ = [
    "Cover",
    "GroundSurface",
    "Share",
    "body_reflectance",
    "clothing_cover",
    "ground_surface",
    "object_kinds",
    "paint_cover",
    "people_table",
    "sheeting_covers",
    "vest_areas_m2",
    "vest_covers",
]


class Share(NamedTuple):
    """A number of a table, such as the share of light that is scattered, with how far it was confirmed."""

    value: float
    status: Status
    source: str


@dataclass(frozen=True)
class Cover:
    """What covers a share of a surface: it scatters light, and sheeting and tape send some back to where it came from.

    material, with colour, names a row of the table of retroreflection; it is empty for what does not retroreflect.
    colour is empty where it is not known.
    """

    kind: Literal["clothing", "bare", "fluorescent", "tape", "sheeting", "paint"]
    name: str
    share: float
    reflectance: Share
    material: str = ""
    colour: str = ""


@dataclass(frozen=True)
class GroundSurface:
    """The ground as the eye sees it; what its row does not tell is none.

    Parameters
    ----------
    name, say : of the row.
    reflectance : diffuse, photopic.
    luminance_coefficient : average luminance per illuminance under lighting from above [cd/m2 per lx].
    stand_in : albedo over the whole spectrum of the sun, which is no photopic value.
    """

    name: str
    say: str
    reflectance: Share | None
    luminance_coefficient: Share | None
    stand_in: Share | None

    @property
    def drawn(self) -> Share:
        """Reflectance with which pictures draw it: its own, else its stand-in, which then is unconfirmed."""
        if self.reflectance is not None:
            return self.reflectance
        assert self.stand_in is not None
        return self.stand_in._replace(status="unconfirmed")


@cache
def _table(name: str) -> dict[str, Any]:
    return tomllib.loads((shipped("shared") / f"{name}.toml").read_text(encoding="utf-8"))


def ground_surface(name: str) -> GroundSurface:
    """A row of the table of surfaces.

    Example
    -------
    >>> wet = ground_surface("wet asphalt")
    >>> wet.drawn.value, wet.luminance_coefficient.value
    (0.05, 0.15)
    """
    row = _table("surfaces")["surfaces"][name]
    parts = (_share(row.get(key)) for key in ("reflectance", "luminance_coefficient", "solar_albedo"))
    return GroundSurface(name, row["say"], *parts)


def _share(row: dict[str, Any] | None) -> Share | None:
    return None if row is None else Share(row["value"], row["status"], row["source"])


def body_reflectance(stated: float | None) -> Share:
    """Reflectance of a body of a vehicle: as its scene states it, else the default."""
    row = _table("objects")["bodies"]
    return _stated(stated) if stated is not None else Share(row["reflectance"], row["status"], row["source"])


def _stated(value: float) -> Share:
    return Share(value, "own", "stated in the scene")


def clothing_cover(clothing: str | float) -> Cover:
    """Clothing by the name of its row, whose middle counts, or by its reflectance.

    Example
    -------
    >>> round(clothing_cover("dark coat or denim").reflectance.value, 3), clothing_cover(0.3).reflectance.status
    (0.07, 'own')
    """
    if not isinstance(clothing, str):
        return Cover("clothing", f"reflectance {clothing:g}", 1.0, _stated(clothing))
    row = _table("visibility")["clothing"][clothing]
    middle = Share(0.5 * (row["low"] + row["high"]), row["status"], row["source"])
    return Cover("clothing", clothing, 1.0, middle)


def people_table() -> dict[str, Any]:
    """The table of people: boxes by pose, and what heads and vests reflect."""
    return _table("people")


def object_kinds() -> dict[str, Any]:
    """Kinds of objects: their boxes, sizes, sheeting and colours."""
    kinds: dict[str, Any] = _table("objects")["kinds"]
    return kinds


def vest_areas_m2(vest: str) -> tuple[float, float]:
    """Least areas of fluorescent and of retroreflective material of a class of vest [m2].

    Example
    -------
    >>> vest_areas_m2("class 2"), vest_areas_m2("none")
    ((0.5, 0.13), (0.0, 0.0))
    """
    if vest == "none":
        return 0.0, 0.0
    row = _table("retroreflection")["vests"][vest]
    return row["fluorescent_m2"], row["retroreflective_m2"]


def vest_covers(fluorescent: float, tape: float) -> tuple[Cover, ...]:
    """The two materials of a vest on shares of a surface."""
    row = people_table()["vest"]
    bright, tape_colour = row["fluorescent"], row["tape_colour"]
    scatters = Share(bright["reflectance"], bright["status"], bright["source"])
    grey = Share(row["tape_reflectance"], row["status"], row["source"])
    worn = (
        Cover("fluorescent", bright["colour"], fluorescent, scatters, colour=bright["colour"]),
        Cover("tape", row["tape"], tape, grey, row["tape"], tape_colour),
    )
    return tuple(cover for cover in worn if cover.share > 0.0)


def paint_cover(colour: str, share: float = 1.0) -> Cover:
    """Paint of a colour."""
    table = _table("objects")["colours"]
    scatters = Share(table["reflectance"][colour], table["status"], table["source"])
    return Cover("paint", colour, share, scatters, colour=colour)


def sheeting_covers(material: str, colours: tuple[str, ...]) -> tuple[Cover, ...]:
    """Stripes of equal width of sheeting in several colours; of paint where the material is "none".

    Example
    -------
    >>> [(cover.colour, cover.share) for cover in sheeting_covers("astm-d4956-i", ("red", "yellow"))]
    [('red', 0.5), ('yellow', 0.5)]
    """
    painted = [paint_cover(colour, 1.0 / len(colours)) for colour in colours]
    if material == "none":
        return tuple(painted)
    return tuple(Cover("sheeting", material, paint.share, paint.reflectance, material, paint.name) for paint in painted)
