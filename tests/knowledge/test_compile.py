"""From rows to numbers: compounds, priors, densities, tables, parts, rules."""

from __future__ import annotations

import pytest
from small_knowledge import Small

from whichresin.engine.conditions import All, Equals, Known, Never, NotKnown, OneOf, Some, Var, Within
from whichresin.engine.rules import Conclusion
from whichresin.knowledge.model import Model
from whichresin.physics.mixtures import mixture_density

PP = "knowledge/materials/polymers/pp.yaml"


@pytest.fixture
def model(small: Small) -> Model:
    loaded = small.load()
    assert loaded.model is not None, loaded.problems
    return loaded.model


def test_compounds_are_polymer_by_filler_by_level_by_flame_retardant(model: Model) -> None:
    """Ids and symbols follow ISO 11469; what is fibre by nature keeps the material's own id."""
    assert [(one.id, one.symbol, one.percent, one.retarded) for one in model.compounds] == [
        ("ABS", "ABS", 0, False),
        ("PP", "PP", 0, False),
        ("PP-TD20", "PP-TD20", 20, False),
        ("PP-GF30", "PP-GF30", 30, False),
        ("PP-GF30 FR", "PP-GF30 FR", 30, True),
        ("UP-GF SMC", "UP-GF25", 25, False),
        ("none_of_these", "", 0, False),
    ]
    last = model.compounds[-1]
    assert (last.klass, last.cell, last.material) == ("none", "none", "none_of_these")


def test_priors_are_shares_within_shares(model: Model) -> None:
    """Share of the material among parts, times the compound's share within the material; all sum to 1."""
    priors = {one.id: one.prior for one in model.compounds}
    assert sum(priors.values()) == pytest.approx(1.0, abs=1e-12)
    assert priors["none_of_these"] == pytest.approx(0.02)
    assert priors["PP"] == pytest.approx(0.98 * 20 / 40 * 0.6)
    assert priors["PP-GF30"] == pytest.approx(0.98 * 20 / 40 * 0.1 * 0.8)
    assert priors["PP-GF30 FR"] == pytest.approx(0.98 * 20 / 40 * 0.1 * 0.2)


def test_density_is_given_or_follows_from_the_rule_of_mixtures(model: Model) -> None:
    """A published range is four standard deviations wide; a flame retardant adds 0.15 g/cm3, badly known."""
    density = {one.id: (one.density_g_cm3, one.density_sd_g_cm3, one.density_from) for one in model.compounds}
    assert density["PP-TD20"] == (pytest.approx(1.045), pytest.approx(0.0075), "given")
    assert density["PP"] == (pytest.approx(0.905), 0.006, "given")
    mean = mixture_density(0.905, 2.57, 0.3)
    spread = (mixture_density(0.915, 2.6, 0.3) - mixture_density(0.895, 2.54, 0.3)) / 4
    assert density["PP-GF30"] == (pytest.approx(mean), pytest.approx(spread), "rule of mixtures")
    assert density["PP-GF30 FR"][:2] == (pytest.approx(mean + 0.15), 0.10)
    assert density["UP-GF SMC"] == (pytest.approx(1.8), pytest.approx(0.075), "given")


def test_choice_table_takes_the_most_specific_row_and_sums_to_one(model: Model) -> None:
    """usually 0.80 against seldom 0.08; rows that say the same are kept once."""
    table = model.cues["grind"].table
    assert table is not None
    rows = {one.id: table.rows[table.row_of[index]] for index, one in enumerate(model.compounds)}
    assert rows["PP"] == pytest.approx((0.80 / 0.88, 0.08 / 0.88))
    assert rows["PP-TD20"] == rows["PP-GF30 FR"] == (0.5, 0.5)
    assert rows["UP-GF SMC"] == (0.5, 0.5)  # the row 'for: {}'
    assert len(table.rows) == 3
    assert all(sum(row) == pytest.approx(1.0) and min(row) > 0 for row in table.rows)


def test_none_of_these_is_half_the_average_and_half_even(model: Model) -> None:
    """What is outside the knowledge answers anyhow: no answer may speak strongly for or against it."""
    table = model.cues["grind"].table
    assert table is not None
    known = model.compounds[:-1]
    average = sum(one.prior * table.rows[table.row_of[i]][0] for i, one in enumerate(known)) / sum(
        one.prior for one in known
    )
    assert table.rows[table.row_of[-1]][0] == pytest.approx(0.5 * average + 0.25)


def test_set_table_merges_rows_value_by_value(model: Model) -> None:
    """What one row does not name falls to the next less specific row that does, else never_seen."""
    table = model.cues["look"].table
    assert table is not None
    rows = {one.id: table.rows[table.row_of[index]] for index, one in enumerate(model.compounds)}
    assert rows["PP"] == (0.80, 0.02)  # waxy from the polyolefin row, foam_pores from the row for all
    assert rows["ABS"] == (0.004, 0.02)


def test_defaults_of_a_cue(model: Model) -> None:
    """What a cue leaves out: its own group, no mark, no leave needed, may be asked."""
    grind = model.cues["grind"]
    assert (grind.group, grind.marks_part, grind.opt_in, grind.locked, grind.askable) == (
        "grind", True, "", False, True,
    )  # fmt: skip
    drips = model.cues["drips"]
    assert [value.id for value in drips.values] == ["yes", "no"]
    assert model.cues["float_in_water"].table is None
    assert model.cues["float_in_water"].physics == "float_water"


def test_tilt_of_a_part_multiplies_compounds(model: Model) -> None:
    """Covers are five times as often polypropylene, whatever is mixed in."""
    assert model.parts["cover"].tilt == (1.0, 5.0, 5.0, 5.0, 5.0, 1.0, 1.0)
    assert model.parts["fuel-can"].tilt == (1.0,) * 7


def test_losses_have_a_row_for_every_cell(model: Model) -> None:
    """The right call costs nothing unless the file says otherwise."""
    assert model.losses.cells == ("polyolefin", "glassy", "laminate", "none")
    assert model.losses.actions == ("polyolefin", "glassy", "laminate", "defer")
    assert model.losses.table[0] == (0.0, 60.0, 60.0, 20.0)
    assert model.losses.table[3] == (60.0, 60.0, 60.0, 0.0)


def test_conditions_of_every_kind(small: Small) -> None:
    """Words of `when:` become the engine's conditions, numbers where the cue is a number."""
    small.write(
        "knowledge/rules/all.yaml",
        """\
rules:
  - id: every-kind
    when:
      all:
        - {grind: [smears, powder]}
        - {density_measured: {above: 1, at_most: 1.5e0}}
        - {known: look}
        - {drips: no}
        - {density_band: "?band"}
        - {any: [{look: waxy}, {not_known: duty}]}
      none: [{shop: hand grinder}, {all: [{duty: fuel}, {drips: yes}]}]
    conclude:
      - {fact: density_band, value: "?band"}
      - {withhold: drips}
      - {unlock: grind}
      - {doubt: grind, level: strong}
      - {caution: burn-last-resort}
      - {contradiction: look}
      - {mute: look, value: waxy}
      - {mute: duty}
      - {against: {family: polyolefin}, seen: hardly_ever, instead_of: [grind, look, density_measured, drips,
         float_in_water]}
    because: b.
    source: BOOK
    examples: [{given: {grind: powder, density_measured: 1.2, look: [waxy], drips: no, float_in_water: floats}}]
    near_misses: [{given: {grind: powder}}]
""",
    )
    loaded = small.load()
    assert loaded.model is not None, loaded.problems
    assert small.lines() == []
    rule = next(rule for rule in loaded.model.rules if rule.id == "every-kind")
    assert rule.when == All(
        (
            OneOf("grind", ("smears", "powder")),
            Within("density_measured", 1.0, 1.5, True, False),
            Known("look"),
            Equals("drips", "no"),
            Equals("density_band", Var("band")),
            Some((Equals("look", "waxy"), NotKnown("duty"))),
            Never((Equals("shop", "hand grinder"), All((Equals("duty", "fuel"), Equals("drips", "yes"))))),
        )
    )
    assert rule.conclude == (
        Conclusion("density_band", Var("band")),
        Conclusion("withhold", "drips"),
        Conclusion("unlock", "grind"),
        Conclusion("doubt:grind", "strong"),
        Conclusion("caution", "burn-last-resort"),
        Conclusion("contradiction", "look"),
        Conclusion("mute", "look=waxy"),
        Conclusion("mute", "duty"),
        Conclusion("against", "every-kind"),
    )
    against = loaded.model.against["every-kind"]
    assert (against.factor, against.compounds) == (0.02, (1, 2, 3, 4))


def test_the_key_follows_the_words_not_the_place(small: Small) -> None:
    """Two copies of one knowledge are the same knowledge; one changed letter is another."""
    before = small.load().model
    copy = Small(small.root.parent / "copy")
    assert copy.load().model == before
    copy.change(PP, "[polyprop]", "[polyprop, pp]")
    after = copy.load().model
    assert before is not None
    assert after is not None
    assert after.key != before.key


OWN = """\
expect:
  - {cue: grind, seen: {smears: 0.3, powder: 0.7}, source: BOOK}
  - {cue: grind, for: {filler_kind: mineral}, seen: {smears: 0.1, powder: 0.9}, source: BOOK}
  - {cue: look, seen: {waxy: seldom}, source: BOOK}
"""
BY_CUE = (
    ("grind", "{for: {polymer: PP}, seen: {smears: 0.3, powder: 0.7}, source: BOOK}"),
    ("grind", "{for: {polymer: PP, filler_kind: mineral}, seen: {smears: 0.1, powder: 0.9}, source: BOOK}"),
    ("look", "{for: {polymer: PP}, seen: {waxy: seldom}, source: BOOK}"),
)


def test_a_material_speaks_for_itself(small: Small) -> None:
    """Rows in the material's file do what the same rows, narrowed to it, do in the files of the cues; and where a
    cue speaks of the material just as specifically, the material has the last word."""
    small.change("knowledge/materials/polymers/pp.yaml", "compounds:", f"{OWN}compounds:")
    assert small.lines() == []
    own = small.load().model
    small.change("knowledge/materials/polymers/pp.yaml", OWN, "")
    for cue, row in BY_CUE:
        small.change(f"knowledge/cues/{cue}.yaml", "expect:\n", f"expect:\n  - {row}\n")
    by_cue = small.load().model
    assert own is not None and by_cue is not None
    for name, cue in own.cues.items():
        other = by_cue.cues[name].table
        assert (cue.table is None) == (other is None)
        if cue.table is not None and other is not None:
            rows = [cue.table.rows[place] for place in cue.table.row_of]
            assert rows == [other.rows[place] for place in other.row_of], name
    last_word = OWN.replace("0.3, powder: 0.7", "0.2, powder: 0.8")
    small.change("knowledge/materials/polymers/pp.yaml", "compounds:", f"{last_word}compounds:")
    assert small.lines() == []
    model = small.load().model
    assert model is not None and model.cues["grind"].table is not None
    table = model.cues["grind"].table
    plain = next(place for place, one in enumerate(model.compounds) if one.id == "PP")
    assert table.rows[table.row_of[plain]] == pytest.approx((0.2, 0.8))
