"""What a plan takes from the shop, in lines: products, quantities with what they leave out, remarks."""

from __future__ import annotations

from whichresin.repair.provide import Provision
from whichresin.repair.sheet import minutes_text
from whichresin.terminal.lines import Line, wrap
from whichresin.terminal.render import heading


def provision_lines(provision: Provision, width: int) -> list[Line]:
    """Empty when there is nothing to say."""
    lines: list[Line] = []
    chosen = [one for one in provision.chosen.values() if one is not None]
    if chosen:
        lines += heading("From the shelf", width)
    for one in chosen:
        product = one.product
        until = f", good until {product.expires.isoformat()}" if product.expires else ""
        invented = ", invented example" if product.invented else ""
        lines += wrap(f"- {product.name} ({product.kind}{until}{invented})", width, first="  ", rest="    ")
        left_out: dict[str, None] = {}
        for time in provision.times.get(product.kind, {}).values():
            word = "at least" if time.kind == "wait" else "no longer than"
            text = f"{time.name}: {word} {minutes_text(time.timer_minutes)}"
            lines += wrap(text, width, first="      ", rest="        ")
            left_out[time.leaves_out] = None
        for text in left_out:
            lines += wrap(f"left out: {text}", width, "faint", first="      ", rest="        ")
    if provision.quantities:
        lines += heading("How much: usual, from least to most", width)
    for quantity in provision.quantities:
        lines += wrap(f"- {quantity.name}: {quantity.text()}", width, first="  ", rest="    ")
        lines += wrap(f"left out: {quantity.leaves_out}", width, "faint", first="      ", rest="        ")
    if provision.remarks:
        lines.append(Line(""))
    for remark in provision.remarks:
        lines += wrap(remark, width, first="  ! ", rest="    ")
    if provision.quantities:
        lines += wrap(provision.not_reckoned, width, first="  ", rest="  ")
    return lines
