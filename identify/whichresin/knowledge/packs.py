"""What a pack says of itself in `pack.yaml`, and whether what it needs is there.

    pack: my-shop
    version: 1.2
    authors: [trainer]          # roles, not people
    licence: CC0-1.0
    needs: {whichresin: 0.1, packs: [common-farm-parts]}

A pack is one folder of text: it holds no code, links in it are passed over, and size, depth and number of its files
are bounded (`stamps`, `positions`).
"""

from __future__ import annotations

from collections.abc import Iterable

from whichresin import __version__
from whichresin.vocabulary.text import shown

from .layers import LONE, PACK_FILE, SourceFile
from .paths import shown_path
from .problems import did_you_mean
from .schema import Row
from .tree import Tree


def check_packs(tree: Tree, files: Iterable[SourceFile]) -> None:
    """Report packs without a manifest, names that stand twice, and needs that are not met."""
    _check_manifests(tree, files)
    known: dict[str, Row] = {}
    for _, row in sorted(tree.packs.items()):
        name = row.text("pack")
        if name in known:
            there = known[name].node
            tree.ctx.error(
                row.at("pack"), "duplicate-id", f"pack {shown(name)} is laid over twice; the first is {there.file}"
            )
        needs = row.row("needs")
        if needs is not None:
            _check_needs(tree, needs, name, known)
        known.setdefault(name, row)


def _check_needs(tree: Tree, needs: Row, name: str, known: dict[str, Row]) -> None:
    version = needs.text("whichresin")
    if version and _numbers(version) > _numbers(__version__):
        tree.ctx.error(
            needs.at("whichresin"),
            "pack-needs",
            f"pack {shown(name)} needs whichresin {version} or newer, this is {__version__}; "
            "install a newer one, or a pack made for this one",
        )
    for wanted in needs.words("packs"):
        if wanted not in known:
            tree.ctx.error(
                needs.at("packs"),
                "pack-needs",
                f"pack {shown(name)} needs the pack {shown(wanted)}, which is not laid below it; name it first",
                did_you_mean(wanted, known),
            )


def _check_manifests(tree: Tree, files: Iterable[SourceFile]) -> None:
    """A note for each folder without one. A file laid over by itself is no pack."""
    roots: dict[int, str] = {}
    for file in files:
        if file.layer and file.kind != LONE:
            roots.setdefault(file.layer, file.path[: len(file.path) - len(file.inside)])
    for layer, root in sorted(roots.items()):
        if layer not in tree.packs and not tree.ctx.report.has_errors_under(PACK_FILE):
            sentence = f"the pack has no {PACK_FILE}; name, version, authors' roles and licence belong there"
            tree.ctx.report.add("note", "nothing-there", shown_path(root), 0, 0, sentence)


def _numbers(version: str) -> tuple[int, ...]:
    parts = [int(part) for part in version.split(".")[:3]]
    return tuple(parts + [0] * (3 - len(parts)))
