"""JSON Schemas for editors: in step with the loader, and right about the shipped files (reference: jsonschema)."""

from __future__ import annotations

import json
import re
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from whichresin.knowledge import forms
from whichresin.knowledge.layers import layers_of
from whichresin.knowledge.paths import shipped
from whichresin.knowledge.positions import Mapping, Node, Scalar, read_text
from whichresin.knowledge.schema import Many, MapOf, Raw, Record
from whichresin.marking.forms import FORMS as MARKING_FORMS
from whichresin.training.editor import KINDS_OF_FILE, RAW, as_text, schemas

sys.path.insert(0, str(Path(__file__).parents[1] / "knowledge"))
from small_knowledge import FILES

FOLDER = Path(shipped().shared) / "schemas"
STORED = {path.stem: json.loads(path.read_text(encoding="utf-8")) for path in sorted(FOLDER.glob("*.json"))}
VALIDATORS = {kind: Draft202012Validator(schema) for kind, schema in STORED.items()}
NAMED = {"polymer": "material"}  # kinds that the loader calls otherwise
TESTS = Path(__file__).parents[1]
FAULTS = yaml.safe_load((TESTS / "knowledge" / "faults.yaml").read_text(encoding="utf-8"))
# Files that are no part of the compiled model and are read by the room that needs them: kind -> where they lie.
BESIDE = {
    "liquid": "liquids/*.yaml",
    "liquids-bench": "liquids/bench.yaml",
    "failures": "repair/failures.yaml",
    "figures": "repair/figures.yaml",
    "chart": "repair/chart.yaml",
    "products": "repair/products.yaml",
    "wetting": "liquids/wetting.yaml",
    **{f"marking-{name.replace('_', '-')}": f"markings/{name}.yaml" for name in MARKING_FORMS if name != "sources"},
}
# What shapes, closed words and limits can show. The rest is for the check: names, meanings, examples.
BY_SHAPE = {"missing-source", "not-yes-or-no", "text-too-long", "too-few", "text-of-several-lines"}

ALSO_BY_SHAPE = {"unknown-key", "unknown-word", "bad-how-often", "zero", "when-key", "two-in-one"}


def as_an_editor_reads(node: Node) -> Any:
    """YAML 1.2 core: numbers, true, false and null are such when unquoted; all else is text (`yes` and `no` too)."""
    if isinstance(node, Mapping):
        return {key.text: as_an_editor_reads(value) for key, value in node.pairs}
    if not isinstance(node, Scalar):
        return [as_an_editor_reads(item) for item in node.items]
    if node.quoted:
        return node.text
    if re.fullmatch(r"[-+]?\d+", node.text):
        return int(node.text)
    if re.fullmatch(r"[-+]?(\.\d+|\d+(\.\d*)?)([eE][-+]?\d+)?", node.text):
        return float(node.text)
    return {"true": True, "false": False, "null": None, "": None}.get(node.text, node.text)


def complaints(kind: str, text: str) -> list[str]:
    root, _ = read_text(text, "f.yaml")
    if root is None:
        return ["not YAML"]
    found = VALIDATORS[kind].iter_errors(as_an_editor_reads(root))
    return [f"{error.json_path}: {error.message[:90]}" for error in found]


def test_the_stored_schemas_are_those_that_the_forms_give() -> None:
    """A key added to the loader must be known to editors; run `python -m whichresin.training.editor shared/schemas`."""
    assert {path.stem: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.json")} == {
        kind: as_text(schema) for kind, schema in schemas().items()
    }


@pytest.mark.parametrize("kind", KINDS_OF_FILE)
def test_each_is_a_schema(kind: str) -> None:
    """The reference library accepts it as JSON Schema 2020-12."""
    Draft202012Validator.check_schema(STORED[kind])


@pytest.mark.parametrize("kind", KINDS_OF_FILE)
def test_every_shipped_file_fits(kind: str) -> None:
    """No false alarm on any file of the shipped knowledge, and there is at least one of each kind."""
    places = shipped()
    if kind in BESIDE:
        paths = sorted(Path(places.knowledge).glob(BESIDE[kind]))
        if kind == "liquid":  # beside them lie tables that go with all liquids
            paths = [path for path in paths if "\nformula:" in path.read_text(encoding="utf-8")]
        assert paths
        for path in paths:
            assert complaints(kind, path.read_text(encoding="utf-8")) == [], path.name
        return
    files = [f for f in layers_of(places.knowledge, places.shared).files if NAMED.get(f.kind, f.kind) == kind]
    assert files or kind in ("pack", "product")  # the shipped knowledge holds none; examples are looked at below
    for file in files:
        assert complaints(kind, Path(file.path).read_text(encoding="utf-8")) == [], file.inside


def test_the_example_products_fit() -> None:
    """An editor does not underline the files that a shop copies its own from; a wrong key it does."""
    products = sorted((TESTS / "demo" / "shelf").glob("*.yaml"))
    assert products
    for path in products:
        assert complaints("product", path.read_text(encoding="utf-8")) == [], path.name
    assert complaints("product", products[0].read_text(encoding="utf-8") + "colour: red\n")


@pytest.mark.parametrize(
    ("kind", "old", "new"),
    [
        ("chart", "{cue: look,", "{cue: look, minutes: 3,"),
        ("chart", "stop_below_minutes: 50", "stop_below_minutes: soon"),
        ("products", "kind: wait", "kind: waits"), ("products", "refuse_from: 0", "refuse_from: 7"),
        ("wetting", "reserve_mn_m: 8", "reserve_mn_m: 80"), ("wetting", "told_means:", "told_mean:"),
    ],
)  # fmt: skip
def test_a_slip_in_a_file_of_its_own_kind_is_underlined(kind: str, old: str, new: str) -> None:
    """Chart, rules for products and wetting: each key, closed word and limit is known to the editor."""
    text = (Path(shipped().knowledge) / BESIDE[kind]).read_text(encoding="utf-8")
    assert old in text and complaints(kind, text) == []
    assert complaints(kind, text.replace(old, new, 1))


def test_the_guides_files_fit() -> None:
    """What the guide teaches is not underlined."""
    guide = (Path(shipped().shared) / "authoring.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```yaml\n# my-shop/(\S+)\n(.*?)^```$", guide, re.S | re.M)
    kinds = {"pack.yaml": "pack", "sources.yaml": "sources", "facts.yaml": "facts"}
    kinds |= {"materials": "material", "cues": "cue", "rules": "rules"}
    for name, text in blocks:
        assert complaints(kinds[name.partition("/")[0]], text) == [], name
    assert len(blocks) == 6


def _kind_of(file: str) -> str:
    folder, _, name = file.removeprefix("knowledge/").rpartition("/")
    folders = {"materials/polymers": "material", "materials/fillers": "filler", "cues": "cue"}
    folders |= {"parts": "parts", "rules": "rules", "repair/processes": "process"}
    return folders.get(folder, name.removesuffix(".yaml"))


@pytest.mark.parametrize("case", FAULTS, ids=[case["name"] for case in FAULTS])
def test_what_is_underlined_is_wrong(case: dict[str, Any]) -> None:
    """Whatever the schema refuses, the check refuses too; and faults of shape are refused by both."""
    text = FILES[case["file"]].replace(case["old"], case["new"])
    found = complaints(_kind_of(case["file"]), text)
    if found:
        assert any(": error: " in line for line in case["says"]), found
    codes = {line.rpartition("[")[2].rstrip("]") for line in case["says"]}
    if codes & BY_SHAPE or case["name"] in ALSO_BY_SHAPE:
        assert found


def test_every_place_that_has_a_reader_of_its_own_has_a_schema_of_its_own() -> None:
    """A form that hands a node on would otherwise accept anything in the editor. `numbers` of a caution is free,
    and so are a few places of the marking tables, which their room reads by itself."""
    seen: set[tuple[str, str]] = set()
    pending = [form for some in KINDS_OF_FILE.values() for form in some] + [forms.RULE, forms.EXAMPLE]
    for form in pending:
        for name, field in form.fields.items():
            piece = field.piece
            while isinstance(piece, Many | MapOf):
                piece = piece.of
            if isinstance(piece, Record) and piece not in pending:
                pending.append(piece)
            if isinstance(piece, Raw):
                seen.add((form.name, name))
    free = {(form.name, name) for form in MARKING_FORMS.values() for name, field in form.fields.items()}
    free |= {("a habit", "becomes"), (forms.CAUTION.name, "numbers")}
    assert seen - set(RAW) <= free
    assert set(RAW) <= seen
