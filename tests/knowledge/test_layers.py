"""Packs over the shipped knowledge, files by themselves, and folders that are not what was expected."""

from __future__ import annotations

from pathlib import Path

import pytest
from small_knowledge import FILES, Small

from whichresin.knowledge import paths
from whichresin.knowledge.layers import layers_of
from whichresin.knowledge.load import load

GRIND = FILES["knowledge/cues/grind.yaml"]
MANIFEST = "pack: shop\nversion: 1.0\nauthors: [trainer]\nlicence: CC0-1.0\n"


def test_a_pack_overrides_by_id_and_says_so(small: Small) -> None:
    """A shop's own cue replaces the shipped one; the check shows which row gives way to which."""
    small.write("pack/pack.yaml", MANIFEST)
    small.write("pack/cues/grind.yaml", GRIND.replace("minutes: 2", "minutes: 7"))
    pack = str(small.root / "pack")
    loaded = small.load(pack)
    assert loaded.model is not None
    assert loaded.model.cues["grind"].minutes == 7
    assert small.lines(pack) == [
        "pack/cues/grind.yaml:1:5: note: 'grind' takes the place of the one at knowledge/cues/grind.yaml:1 [overrides]"
    ]


def test_the_later_pack_wins(small: Small) -> None:
    """Layers lie one over another in the order in which they are named."""
    for name, minutes in (("one", "3"), ("two", "4")):
        small.write(f"{name}/cues/grind.yaml", GRIND.replace("minutes: 2", f"minutes: {minutes}"))
    one, two = str(small.root / "one"), str(small.root / "two")
    loaded = small.load(one, two)
    assert loaded.model is not None
    assert loaded.model.cues["grind"].minutes == 4
    loaded = small.load(two, one)
    assert loaded.model is not None
    assert loaded.model.cues["grind"].minutes == 3


def test_a_pack_brings_its_own_sources_facts_and_cautions(small: Small) -> None:
    """What a pack refers to may stand in the pack; at its top these files need no folder."""
    small.write("pack/pack.yaml", MANIFEST)
    small.write("pack/sources.yaml", "sources: {SHOP: our own notes}\n")
    small.write("pack/facts.yaml", "facts: [{name: shop_fact, values: {seen: seen}}]\n")
    small.write(
        "pack/rules/own.yaml",
        "rules:\n  - {id: own, when: {all: [{grind: powder}]}, conclude: [{fact: shop_fact, value: seen}], \n"
        "     because: b., source: SHOP, examples: [{given: {grind: powder}}], \n"
        "     near_misses: [{given: {grind: smears}}]}\n",
    )
    assert small.lines(str(small.root / "pack")) == []
    loaded = small.load(str(small.root / "pack"))
    assert loaded.model is not None
    assert {"floats-so-light", "fuel-shuts", "own"} < {rule.id for rule in loaded.model.rules}
    assert loaded.model.sources == {"BOOK": "a handbook", "SHOP": "our own notes"}


def test_the_same_id_twice_in_one_layer_is_an_error_that_names_both(small: Small) -> None:
    """Which of the two would win would depend on the alphabet."""
    small.write("knowledge/cues/grind_again.yaml", GRIND)
    assert small.lines() == [
        "knowledge/cues/grind_again.yaml:1:5: error: id 'grind' is already used at knowledge/cues/grind.yaml:1 "
        "[duplicate-id]"
    ]


def test_a_cycle_through_negation_names_both_files(small: Small) -> None:
    """Two authors can make a circle that neither of them sees."""
    rest = "because: b., source: BOOK, examples: [], near_misses: []}\n"
    one = "{id: one, when: {none: [{side: a}]}, conclude: [{fact: density_band, value: above_water}], "
    two = "{id: two, when: {all: [{density_band: above_water}]}, conclude: [{fact: side, value: a}], "
    small.write("knowledge/rules/one.yaml", f"rules:\n  - {one}{rest}")
    small.write("knowledge/rules/two.yaml", f"rules:\n  - {two}{rest}")
    assert small.lines() == [
        "knowledge/rules/one.yaml:2:10: error: rule 'one' goes in a circle through a negation with 'two' "
        "(knowledge/rules/two.yaml:2); facts: density_band, side; let one of them conclude or look at another fact "
        "[negation-cycle]"
    ]


def test_a_file_by_itself_is_known_by_its_keys(small: Small) -> None:
    """A trainer checks the file at hand, wherever it lies."""
    path = small.write("elsewhere/my rules.yaml", FILES["knowledge/rules/water.yaml"].replace("id: fl", "id: my-fl"))
    assert small.lines(str(path)) == [
        "elsewhere/my rules.yaml:3:9: warning: rule 'my-floats-so-light' says the same as rule 'floats-so-light' "
        "[twin-rules]",
        "elsewhere/my rules.yaml:10:9: note: 'fuel-shuts' takes the place of the one at knowledge/rules/water.yaml:10 "
        "[overrides]"
    ]
    path = small.write("elsewhere/what.yaml", "rule: []\n")
    (line,) = small.lines(str(path))
    assert line == (
        "elsewhere/what.yaml:1:1: error: no key tells what kind of file this is; expected one of rules, parts, cells, "
        "actions, sources, facts, cautions, question, compounds, gate, kind, steps and 3 more; did you mean 'rules'? "
        "[unknown-file]"
    )


def test_a_path_inside_narrows_the_report(small: Small) -> None:
    """Colleagues mend their own file while others are still broken."""
    small.change("knowledge/cues/grind.yaml", "minutes: 2", "minutes: two")
    small.change("knowledge/cues/look.yaml", "minutes: 1", "minutes: one")
    assert len(small.lines()) == 2
    assert [line.partition(":")[0] for line in small.lines(f"{small.knowledge}/cues/look.yaml")] == [
        "knowledge/cues/look.yaml"
    ]
    assert small.lines(f"{small.knowledge}/rules") == []
    assert len(small.lines(f"{small.knowledge}/cues")) == 2


def test_drafts_and_links_are_passed_over(small: Small, tmp_path: Path) -> None:
    """A draft is not yet knowledge; a link could lead out of the pack's folder."""
    small.write("knowledge/rules/drafts/half.yaml", "rules: half")
    outside = tmp_path / "outside.yaml"
    outside.write_text("id: stolen\n")
    (small.root / "knowledge/cues/link.yaml").symlink_to(outside)
    (small.root / "knowledge/parts/loop").symlink_to(small.root / "knowledge")
    assert small.lines() == []


def test_missing_kinds_are_told_once_and_nothing_else_drowns_it(small: Small) -> None:
    """An author whose colleague has not written the cautions yet still gets the own file checked."""
    for name in ("shared/cautions.yaml", "shared/facts.yaml", "knowledge/repair/losses.yaml"):
        (small.root / name).unlink()
    small.change("knowledge/cues/grind.yaml", "minutes: 2", "minutes: two")
    assert small.lines() == [
        "knowledge/cues/grind.yaml:9:10: error: minutes is 'two'; expected a number [bad-number]",
        "knowledge/repair/losses.yaml:0:0: error: there is no table of losses yet; expected at least one "
        "[nothing-there]",
        "shared/cautions.yaml:0:0: error: there is no caution yet; expected at least one [nothing-there]",
        "shared/facts.yaml:0:0: error: there is no fact word yet; expected at least one [nothing-there]",
    ]


def test_empty_folders_are_no_crash(tmp_path: Path) -> None:
    """The very first day of a new knowledge."""
    for name in ("knowledge", "shared"):
        (tmp_path / name).mkdir()
    empty = Small.__new__(Small)
    empty.root = tmp_path
    assert empty.load().model is None
    assert {line.rpartition("[")[2] for line in empty.lines()} == {"nothing-there]"}


def test_a_folder_that_is_not_there(small: Small) -> None:
    """One sentence, no traceback."""
    missing = str(small.root / "no such pack")
    (problem,) = small.load(missing).problems
    assert (problem.code, problem.sentence) == ("no-such-file", "there is no such file")
    assert small.lines(missing) == ["no such pack:0:0: error: there is no such file [no-such-file]"]
    small.root = small.root / "nowhere"
    (problem,) = small.load().problems
    assert problem.sentence == "the folder cannot be read: No such file or directory"


def test_reading_order_does_not_depend_on_the_file_system(small: Small) -> None:
    """The same files give the same model, byte for byte, on every machine."""
    files = layers_of(small.knowledge, small.shared).files
    assert [file.inside for file in files] == sorted(
        (file.inside for file in files), key=lambda inside: (not inside.startswith("shared/"), inside)
    )


def test_a_pack_cannot_exhaust_memory(small: Small) -> None:
    """Many files, each small enough, are refused before the first is read."""
    for number in range(17):
        with small.write(f"pack/cues/c{number}.yaml", "").open("wb") as stream:
            stream.truncate(1 << 20)
    (line,) = small.lines(str(small.root / "pack"))
    assert line == "pack:0:0: error: the folder cannot be read: its files hold more than 16 MiB [no-such-file]"
    small.write("pack2/pack.yaml", MANIFEST)
    big = small.write("pack2/cues/big.yaml", "")
    with big.open("wb") as stream:
        stream.truncate(100 << 20)
    assert small.lines(str(small.root / "pack2")) == [
        "pack2/cues/big.yaml:0:0: error: the file is larger than 1024 KiB [too-large]"
    ]


def test_a_file_that_nothing_reads_is_told(small: Small) -> None:
    """A misspelt folder would otherwise make its files vanish without a word."""
    small.write("pack/pack.yaml", MANIFEST)
    small.write("pack/rule/own.yaml", "rules: []\n")
    assert small.lines(str(small.root / "pack")) == [
        "pack/rule/own.yaml:0:0: warning: nothing reads files in the folder 'rule'; expected one of "
        "materials/polymers, materials/fillers, cues, parts, cautions, rules, repair/processes, markings, liquids, "
        "repair, shared; did you mean 'rules'? [stray-file]"
    ]


def test_a_pack_may_be_one_flat_folder(small: Small) -> None:
    """A shop with three files needs no folders: their keys tell what they are. The manifest is not knowledge."""
    small.write("pack/grind.yaml", GRIND.replace("minutes: 2", "minutes: 7"))
    small.write("pack/pack.yaml", MANIFEST)
    loaded = small.load(str(small.root / "pack"))
    assert loaded.model is not None
    assert loaded.model.cues["grind"].minutes == 7
    small.write("pack/odd.yaml", "something: else\n")
    (line,) = [line for line in small.lines(str(small.root / "pack")) if "note" not in line]
    assert line.startswith("pack/odd.yaml:1:1: error: no key tells what kind of file this is; ")


def test_a_draft_is_read_when_it_is_named(small: Small) -> None:
    """Rules in the making are checked on request, over all that is shipped."""
    draft = small.write("knowledge/rules/drafts/half.yaml", "rules: half\n")
    for path in (draft, draft.parent):
        assert small.lines(str(path)) == [
            "knowledge/rules/drafts/half.yaml:1:8: error: rules is the text 'half'; expected a list of rules "
            "[wrong-shape]"
        ]
    assert small.lines(str(draft.parent.parent)) == []


def test_knowledge_is_found_in_a_checkout_and_in_an_installed_package(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The wheel carries both folders inside the package; a checkout has them at its top."""
    package = tmp_path / "identify" / "whichresin"
    package.mkdir(parents=True)
    monkeypatch.setattr(paths, "PACKAGE", str(package))
    (problem,) = load(use_cache=False).problems
    assert problem.code == "no-such-file"
    assert "install whichresin again" in problem.sentence
    for root in (tmp_path, package / "data"):
        for name in ("knowledge", "shared"):
            (root / name).mkdir(parents=True)
        assert paths.shipped().knowledge == str(root / "knowledge")
        assert paths.shipped().shared == str(root / "shared")


def test_single_files_are_replaced_as_a_whole_and_closed_lists_not_at_all(small: Small) -> None:
    """A shop may have its own costs of wrong calls; the words that the program acts on are not a pack's to change."""
    text = FILES["knowledge/repair/losses.yaml"].replace("settled_below: 3", "settled_below: 9")
    small.write("pack/pack.yaml", MANIFEST)
    small.write("pack/repair/losses.yaml", text)
    small.write("pack/lists.yaml", "lists: {gates: {open: all is well}}\n")
    pack = str(small.root / "pack")
    assert small.lines(pack) == [
        "pack/lists.yaml:1:1: error: the closed lists give words their effect in the program; a pack has none "
        "[not-here]",
        "pack/repair/losses.yaml:1:1: note: this file takes the place of knowledge/repair/losses.yaml [overrides]",
    ]
    (small.root / "pack/lists.yaml").unlink()
    loaded = small.load(pack)
    assert loaded.model is not None
    assert loaded.model.losses.settled_below == 9


def test_a_current_folder_that_is_gone(small: Small, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody removed the folder one stands in: no reason to fail."""
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    gone.rmdir()
    assert small.load(use_cache=True).model is not None
    assert small.load(use_cache=True).model is not None


def test_a_pack_says_what_it_is(small: Small) -> None:
    """Whoever gets a pack from others sees its name, its version and who answers for it, or that it is missing."""
    small.write("pack/rules/own.yaml", FILES["knowledge/rules/water.yaml"].replace("id: ", "id: my-"))
    assert [line for line in small.lines(str(small.root / "pack")) if "pack.yaml" in line] == [
        "pack/:0:0: note: the pack has no pack.yaml; name, version, authors' roles and licence belong there "
        "[nothing-there]"
    ]
    small.write("pack/pack.yaml", MANIFEST.replace("1.0", "one"))
    (line,) = [line for line in small.lines(str(small.root / "pack")) if "pack.yaml" in line and "note" not in line]
    assert line.startswith("pack/pack.yaml:2:10: error: version 'one' is not one to three numbers")


def test_a_pack_names_what_it_needs(small: Small) -> None:
    """A pack for a later program, or over a pack that is not there, is refused with what to do."""
    for name, needs in (("base", ""), ("top", "needs: {whichresin: 0.1, packs: [base]}\n")):
        small.write(f"{name}/pack.yaml", MANIFEST.replace("shop", name) + needs)
    base, top = str(small.root / "base"), str(small.root / "top")
    assert small.lines(base, top) == []
    assert small.lines(top, base) == [
        "top/pack.yaml:5:33: error: pack 'top' needs the pack 'base', which is not laid below it; name it first "
        "[pack-needs]"
    ]
    small.write("top/pack.yaml", MANIFEST + "needs: {whichresin: 7.1}\n")
    (line,) = small.lines(top)
    assert line.startswith("top/pack.yaml:5:21: error: pack 'shop' needs whichresin 7.1 or newer, this is ")


def test_the_same_pack_is_not_laid_over_twice(small: Small) -> None:
    """Two copies of a pack in two folders would hide which of them is in force."""
    for name in ("one", "two"):
        small.write(f"{name}/pack.yaml", MANIFEST)
    (line,) = small.lines(str(small.root / "one"), str(small.root / "two"))
    assert line.startswith("two/pack.yaml:1:7: error: pack 'shop' is laid over twice; the first is ")
