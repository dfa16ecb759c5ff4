"""Part kinds, repair cells and losses, cautions, fact words, and the observer: the smaller kinds of
knowledge.
"""

from __future__ import annotations

from collections.abc import Iterable

from whichresin.vocabulary.text import shown
from whichresin.vocabulary.words import listed

from .model import Caution, Cell, FactWord, Losses, Observer, PartKind, Skill, SplitLoss
from .positions import Mapping
from .problems import did_you_mean
from .schema import Row
from .selectors import Selectors
from .tree import Tree

DEFER = "defer"
SURENESS = ("high", "medium", "low")
DOUBTS = ("slight", "strong")


def build_parts(tree: Tree, selectors: Selectors, hypotheses: int) -> dict[str, PartKind]:
    """Part kinds by id; every tilt that matches a compound multiplies its prior. `hypotheses` is the number of
    compounds, with 'none of these' as the last."""
    parts = {}
    _check_words(tree)
    for name in sorted(tree.parts):
        row = tree.parts[name].row
        tilt = [1.0] * hypotheses
        for one in row.rows("tilt"):
            selector = selectors.read(one.at("for"), tree.ctx) if "for" in one else None
            for index in selector.indices() if selector is not None else ():
                tilt[index] *= one.number("times", 1.0)
        if row.text("gate") in ("ask", "refer", "replace") and not row.text("gate_reason"):
            sentence = f"gate {row.text('gate')} without gate_reason; say in one sentence why"
            tree.ctx.error(row.at("gate"), "missing-key", sentence)
        parts[name] = PartKind(
            name,
            row.text("name"),
            row.words("words"),
            row.text("gate"),
            row.text("gate_reason"),
            row.words("cautions"),
            tuple(tilt),
            row.words("source"),
        )
    return parts


def _check_words(tree: Tree) -> None:
    """Two kinds that claim the same word would leave it to luck which gate a part comes under."""
    claimed: dict[str, str] = {}
    for name in sorted(tree.parts):
        row = tree.parts[name].row
        for word in dict.fromkeys(one.casefold() for one in (row.text("name"), *row.words("words")) if one):
            other = claimed.setdefault(word, name)
            if other != name:
                sentence = f"{shown(word)} also stands for part kind {shown(other)}"
                tree.ctx.error(row.at("words"), "word-claimed-twice", sentence, "leave it to one of them")


def build_cells(tree: Tree) -> dict[str, Cell]:
    """Repair cells by id, in file order, with `none` last for what is none of these."""
    cells = {
        name: Cell(name, entry.row.text("name"), entry.row.text("means"), entry.row.words("source"))
        for name, entry in tree.cells.items()
    }
    none = cells.pop("none", None) or Cell(
        "none", "none of these", "Not known, or not plastic: do not bond on a guess.", ()
    )
    return {**cells, "none": none}


def build_losses(tree: Tree, cells: Iterable[str]) -> Losses | None:
    """What wrong calls cost, with a row for every cell and a column for every action."""
    row = tree.losses
    if row is None:
        return None
    cell_ids, actions = tuple(cells), row.words("actions")
    _check_actions(row, actions, cell_ids, tree)
    _check_keys(row, "hazard_minutes", tuple(tree.ctx.lists.get("hazards", ())), tree)
    costs = _costs(row, actions, cell_ids, tree)
    splits = tuple(
        SplitLoss(one.text("shop"), one.text("by"), one.number("miss"), one.number("false_alarm"))
        for one in row.rows("splits")
    )
    return Losses(
        cells=cell_ids,
        actions=actions,
        table=tuple(tuple(costs.get(cell, {}).get(one, 0.0) for one in actions) for cell in cell_ids),
        splits=splits,
        polymer_wrong=row.number("polymer_wrong"),
        polymer_defer=row.number("polymer_defer"),
        settled_below=row.number("settled_below"),
        hazard_minutes=row.numbers("hazard_minutes"),
        marks_part_minutes=row.number("marks_part_minutes"),
        source=row.words("source"),
    )


def _check_keys(row: Row, key: str, wanted: tuple[str, ...], tree: Tree) -> None:
    """A mapping from the words of a closed list must hold each of them and no other."""
    node, found = row.raw(key), row.numbers(key)
    if not wanted or not isinstance(node, Mapping):
        return
    for name, _ in node.pairs:
        if name.text not in wanted:
            sentence = f"{shown(name.text)} does not belong in {key}; expected {listed(wanted)}"
            tree.ctx.error(name, "unknown-word", sentence, did_you_mean(name.text, wanted))
    missing = [name for name in wanted if name not in found and node.get(name) is None]
    if missing:
        tree.ctx.error(node, "missing-key", f"{key} without {listed(missing)}")


def _check_actions(row: Row, actions: tuple[str, ...], cells: tuple[str, ...], tree: Tree) -> None:
    node = row.at("actions")
    if actions and actions[-1] != DEFER:
        tree.ctx.error(node, "missing-key", f"the last action is {shown(actions[-1])}; expected {DEFER}")
    for action in actions:
        if action not in cells and action != DEFER:
            sentence = f"action {shown(action)} is no repair cell"
            tree.ctx.error(node, "no-such-reference", sentence, did_you_mean(action, (*cells, DEFER)))


def _costs(row: Row, actions: tuple[str, ...], cells: tuple[str, ...], tree: Tree) -> dict[str, dict[str, float]]:
    """Minutes by true cell and action; the right call costs nothing unless a number says otherwise."""
    node, table = row.raw("table"), row.values.get("table")
    costs: dict[str, dict[str, float]] = {}
    for cell, line in node.pairs if isinstance(node, Mapping) else ():
        if cell.text not in cells:
            sentence = f"there is no repair cell {shown(cell.text)}"
            tree.ctx.error(cell, "no-such-reference", sentence, did_you_mean(cell.text, cells))
        for action, _ in line.pairs if isinstance(line, Mapping) else ():
            if action.text not in actions:
                sentence = f"{shown(action.text)} is not one of the actions"
                tree.ctx.error(action, "no-such-reference", sentence, did_you_mean(action.text, actions))
        if isinstance(table, dict) and isinstance(table.get(cell.text), dict):
            costs[cell.text] = table[cell.text]
    for name in cells:
        missing = [one for one in actions if one != name and one not in costs.get(name, {})]
        if missing:
            sentence = f"table row {shown(name)} without {listed(missing)}"
            tree.ctx.error(row.at("table"), "missing-key", sentence)
    return costs


def build_cautions(tree: Tree) -> dict[str, Caution]:
    """Cautions by id, in file order."""
    return {
        name: Caution(
            name,
            entry.row.text("level"),
            entry.row.text("hazard"),
            entry.row.text("text"),
            entry.row.words("source"),
            entry.row.words("tests"),
            entry.row.words("processes"),
            entry.row.words("materials"),
            entry.row.words("parts"),
        )
        for name, entry in tree.cautions.items()
    }


def build_facts(tree: Tree) -> dict[str, FactWord]:
    """Words of derived facts by name."""
    return {name: FactWord(name, entry.row.texts("values")) for name, entry in tree.facts.items()}


def build_observer(tree: Tree) -> Observer | None:
    """The person at the bench; None when the file is missing."""
    row = tree.observer
    if row is None:
        return None
    _check_keys(row, "sure", SURENESS, tree)
    _check_keys(row, "doubt", DOUBTS, tree)
    skills = tuple(
        Skill(one.text("id"), one.number("share"), one.number("slip"), one.number("muddled"))
        for one in row.rows("skills")
    )
    total = sum(skill.share for skill in skills) or 1.0
    return Observer(
        skills=tuple(Skill(one.id, one.share / total, one.slip, one.muddled) for one in skills),
        sure=row.numbers("sure"),
        doubt=row.numbers("doubt"),
        neutral_within_g_cm3=row.number("neutral_within_g_cm3"),
        liquid_uncertainty_g_cm3=row.number("liquid_uncertainty_g_cm3"),
        water_uncertainty_g_cm3=row.number("water_uncertainty_g_cm3"),
        density_uncertainty_g_cm3=row.number("density_uncertainty_g_cm3"),
        slip_follows_usual=row.number("slip_follows_usual"),
        likelihood_counts=row.number("likelihood_counts"),
        strange_stake_minutes=row.number("strange_stake_minutes"),
        strange_withholds=row.number("strange_withholds"),
        strange_withholds_for=row.numbers("strange_withholds_for"),
    )


def build_how_sure(tree: Tree) -> tuple[tuple[float, str], ...]:
    """Steps of certainty, highest first; the last must begin at 0, so that every probability has a word."""
    row = tree.words
    if row is None:
        return ()
    steps = [(one.number("at_least", 1.0), one.text("word")) for one in row.rows("how_sure")]
    if steps and min(steps)[0] > 0:
        sentence = "how_sure has no step with at_least: 0; small probabilities would have no word"
        tree.ctx.error(row.at("how_sure"), "missing-key", sentence)
    return tuple(sorted(steps, reverse=True))
