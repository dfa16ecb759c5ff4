"""Outside truth: worked examples of markings, and every symbol of the standard tables."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from whichresin.marking.composition import FillerPart, spell
from whichresin.marking.decoder import decode
from whichresin.marking.explain import class_of, filler_words, meaning, parts, row_of
from whichresin.marking.grammar import parse
from whichresin.marking.tables import Tables

CASES = yaml.safe_load((Path(__file__).parents[1] / "cases" / "marking_examples.yaml").read_text(encoding="utf-8"))[
    "examples"
]


@pytest.mark.parametrize("case", CASES, ids=[case["text"] for case in CASES])
def test_example_parses_to_its_components(case: dict, tables: Tables) -> None:
    """Every worked example reads as the components that its source gives."""
    marking = parse(case["text"], tables).marking
    want = case["components"]
    assert list(marking.polymers) == want["polymers"]
    assert [(f.code, f.material, f.form, f.percent) for f in marking.fillers] == [
        (f["code"], f["material"], f["form"], f["percent"]) for f in want["fillers"]
    ]
    assert list(marking.leading.retardants) == (want["flame_retardant"] or [])
    assert marking.leading.plasticizer == want["plasticizer"]
    assert class_of(marking, tables) == case["class"]
    other = want["other"] or {}
    if "filler_total_percent" in other:
        assert marking.leading.filler_percent == other["filler_total_percent"]
    if "resin_code" in other:
        assert marking.leading.resin_code == other["resin_code"]
    if "main" in other:
        assert marking.leading.polymers == (other["main"],)
    if other.get("tpe"):
        assert "thermoplastic elastomer" in meaning(marking, tables)


@pytest.mark.parametrize("case", CASES, ids=[case["text"] for case in CASES])
def test_example_decodes_first(case: dict, tables: Tables) -> None:
    """Undamaged, the example is the best reading, and its class is stated unless a plausible rival differs."""
    decoded = decode(case["text"], tables)
    assert decoded.verdict in ("clear", "likely")
    assert list(decoded.readings[0].polymers) == case["components"]["polymers"]
    assert [f.code for f in decoded.readings[0].fillers] == [f["code"] for f in case["components"]["fillers"]]
    assert decoded.readings[0].klass == case["class"]
    assert decoded.klass in ("", case["class"])


def test_every_polymer_symbol_alone(tables: Tables) -> None:
    """Every symbol of ISO 1043-1, ISO 18064 and ISO 1629 in the tables stands alone and is explained."""
    for symbol, row in tables.polymers.items():
        parsed = parse(f">{symbol}<", tables)
        assert spell(parsed.marking) == f">{symbol}<"
        assert not parsed.departures
        found = row_of(parsed.marking.polymers[0], tables)
        assert found is row
        assert row.name in meaning(parsed.marking, tables)
        readings = [reading.text for reading in decode(f">{symbol}<", tables).readings]
        assert f">{symbol}<" in readings[:2], symbol  # a rare symbol may be a damaged common one: AB or ABS


def test_every_filler_alone(tables: Tables) -> None:
    """Every filler of ISO 1043-2 reads with its percentage; letters combine freely."""
    for code, row in tables.fillers.items():
        parsed = parse(f">PP-{code}20<".replace("MEF(St)20", "MEF(St)20"), tables)
        part = parsed.marking.fillers[0]
        assert (part.code, part.percent) == (code, 20)
        assert filler_words(part, tables) == f"20 % {row.name}"
    for material in tables.material_letters:
        for form in tables.form_letters:
            part = parse(f">PP-{material}{form}20<", tables).marking.fillers[0]
            assert part.percent == 20
            assert part.code == f"{material}{form}"


def test_every_plasticizer_and_retardant(tables: Tables) -> None:
    """Every symbol of ISO 1043-3 and number of ISO 1043-4 is read and explained."""
    for symbol, term in tables.plasticizers.items():
        marking = parse(f">PVC-P({symbol})<", tables).marking
        assert marking.leading.plasticizer == symbol
        assert term.name in meaning(marking, tables)
    for code, term in tables.retardants.items():
        marking = parse(f">ABS-FR({code})<", tables).marking
        assert marking.leading.retardants == (code,)
        assert (f"FR({code})", f"flame retardant: {term.name}") in parts(marking, tables)


def test_every_resin_code(tables: Tables) -> None:
    """Each number of ASTM D7611 with its letters, before or after; 7 says nothing about class."""
    for number, row in tables.resin_codes.items():
        for letters in row.letters:
            marking = parse(f"{number} {letters}", tables).marking
            assert marking.leading.resin_code == number
            assert list(marking.polymers) == ([row.polymer] if row.polymer else [])
    assert class_of(parse("7 OTHER", tables).marking, tables) == "unknown"


def test_every_legacy_symbol(tables: Tables) -> None:
    """Earlier abbreviations read as what is written today, and the reader is told."""
    for text, row in tables.legacy.items():
        if text in tables.polymers or text.replace(" ", "") in tables.polymers:
            continue
        parsed = parse(f">{text}<", tables)
        if not any("earlier or trade" in note for note in parsed.departures):
            continue  # blanks taken out, it is a symbol of today
        assert parsed.marking.polymers == row.polymers, text


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("pa66gf30", "hyphen is left out"),
        ("PC/ABS", "slash"),
        ("<PBT-GF15>", "brackets"),
        ("PP-TD20", "no brackets"),
        (">PP -TD20<", "blanks"),
        (">PP-T20<", "T is written for TD"),
        (">PP-FR(40)-TD20<", "last"),
        (">PP-FR<", "without its number"),
        (">EVA<", "earlier or trade"),
    ],
)
def test_departures_are_named(text: str, says: str, tables: Tables) -> None:
    """A marking that departs from the standard is read, and the departure named."""
    assert any(says in note for note in parse(text, tables).departures)


def test_class_choices(tables: Tables) -> None:
    """PE-X is a thermoset; rubbers are elastomers; a thermoplastic with rubber stays one; PVC on PUR is not said."""
    want = {
        ">PE-X<": "thermoset",
        ">EPDM<": "elastomer",
        ">PP+EPDM<": "thermoplastic",
        ">TPU<": "thermoplastic",
        ">PVC+PUR<": "unknown",
    }
    assert {text: class_of(parse(text, tables).marking, tables) for text in want} == want


def test_filler_part_is_a_value() -> None:
    """Two equal fillers are one value, so that readings can be put together."""
    assert FillerPart("GF", "glass", "fibre", 30) == FillerPart("GF", "glass", "fibre", 30)
