"""What `weigh` and `liquid` share: the shelf of liquids, figures typed on the command line, pictures."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from . import output

if TYPE_CHECKING:
    from whichresin.knowledge.liquids import LiquidShelf
    from whichresin.session.density_picture import DensityPicture


def shelf() -> LiquidShelf:
    """The liquids; raises BadInput naming the first fault."""
    from whichresin.knowledge.liquids import BadLiquids, shipped_shelf

    try:
        return shipped_shelf()
    except BadLiquids as error:
        raise output.BadInput(str(error)) from None


def draw(path: str, picture: DensityPicture, title: str) -> None:
    """Write a density picture as SVG; raises BadInput when the file cannot be written."""
    from pathlib import Path

    from whichresin.terminal.density_svg import density_svg

    try:
        Path(path).write_text(density_svg(picture, title), encoding="utf-8")
    except OSError as error:
        raise output.BadInput(f"{path} cannot be written: {error.strerror or error}") from None


def number(text: str, name: str, unit: str = "") -> float:
    """A figure from the command line. Raises BadInput for words, units stuck to it, a comma, nan or inf."""
    plain = text.strip()
    try:
        value = float(plain) if "_" not in plain else math.nan
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    from whichresin.vocabulary.text import shown

    wanted = f" in {unit}" if unit else ""
    hint = "write a decimal point" if "," in plain else "give the bare figure, such as 5.02"
    if unit == "grams":
        from whichresin.session.typed import grams_in

        grams = grams_in(plain)
        hint = f"in grams it is {grams:.4g}" if grams is not None else hint
    raise output.BadInput(f"{name} {shown(text)} is not a number{wanted}; {hint}")
