"""A luminaire as the commands on photometric data look at it: by the name of a card, or by the path of a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scenelux.colour import LampColour
    from scenelux.photometry import Summary
    from scenelux.pictures.luminaire_facts import Identity
    from scenelux.scene.cards import Card

__all__ = ["look_at"]


def look_at(name: str, folder: Path, tilt_deg: float = 0.0) -> tuple[Identity, Summary]:
    """Who a luminaire is and its figures.

    Parameters
    ----------
    name : of a card, or the path of a card or a photometric file.
    folder : where paths start, and where cards are looked for first.
    tilt_deg : of the beam, negative = down [deg].
    """
    from scenelux.errors import InputError
    from scenelux.photometry import summarise
    from scenelux.placement.colours import colour_of
    from scenelux.placement.luminaires import load_luminaire
    from scenelux.scene.catalogue import Catalogue

    try:
        luminaire = Catalogue.beside(folder).find(name)
        loaded, colour = load_luminaire(luminaire), colour_of(luminaire)
    except InputError as error:
        raise (error if error.file else error.at(value=name)) from None
    source = loaded.file or loaded.distribution
    summary = summarise(
        source, loaded.orientation, opening=loaded.opening, tilt_deg=tilt_deg, power_w=luminaire.card.power_w
    )
    return _identity(luminaire.name, luminaire.card, luminaire.card_file is not None, colour), summary


def _identity(name: str, card: Card, has_card: bool, colour: LampColour | None) -> Identity:
    from scenelux.pictures.luminaire_facts import Identity

    said = card.source
    kind = card.kind if has_card else "kind not stated"
    off = (card.uncertainty.in_beam, card.uncertainty.outside_beam) if card.uncertainty else None
    return Identity(
        name, card.name, kind, colour, card.data_class, said.title, said.status, card.power_w, _supply(card), off,
        applies_tilt=card.apply_tilt_table, has_card=has_card,
    )  # fmt: skip


def _supply(card: Card) -> str:
    """Current, voltage and how the light follows it, in words."""
    from scenelux.units import figure

    parts = [f"{figure(card.current_a)} A"] if card.current_a is not None else []
    if card.supply is None:
        return ", ".join(parts)
    parts.append(f"at {figure(card.supply.voltage_v)} V")
    if card.supply.range_v is not None:
        parts.append("{} to {} V".format(*map(figure, card.supply.range_v)))
    return ", ".join([*parts, card.supply.behaviour or "behaviour not stated"])
