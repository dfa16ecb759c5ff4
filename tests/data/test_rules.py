"""The shipped rules: complete, true to their own examples, and safe whatever is answered.

Answers are drawn at random and run through the real engine; beliefs are drawn as probabilities over the shipped
compounds and told as the session tells them. Expected values are stated here from the trade's rules (a part with a
duty is not repaired on the tool's word), never read back from the rules.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from whichresin.belief.hypotheses import Belief
from whichresin.engine.chain import Chain
from whichresin.engine.conditions import All, Equals, OneOf
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Rule
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.load import load
from whichresin.knowledge.model import Model
from whichresin.knowledge.paths import shipped as places
from whichresin.session.believed import belief_facts
from whichresin.training.check import check
from whichresin.training.exercised import untried

BURN = ("ignites", "after_flame", "flame", "smoke", "drips", "residue", "odour")
STATUSES = ("open", "concluded", "contradiction", "unknown")
GATED_DUTIES = (
    *("restraint", "sensor_view", "lamp", "fuel", "pressure", "brake_or_steering", "structure"),
    *("high_voltage", "hot_fluid", "life_safety", "food_or_water"),
)
# Statements that tell somebody to go ahead with a repair. Prohibitions (no weld, no solvent) are not among them.
GO_AHEAD: Mapping[str, set[str]] = {
    "promoter": {"required", "not_required", "follow_product_sheet", "trial_first"},
    "weld": {"possible", "only_known_type"},
    "rod": {"must_match", "try_rods_on_scrap"},
    "solvent_bond": {"possible", "unstressed_only"},
    "reinforce": {"mesh", "plies", "backing_patch"},
    "groove": {"dished", "taper_scarf"},
    "scarf": {"twelve_to_one", "from_the_maker"},
    "resin": {"moulding_compound_rated"},
    "abrade": {"sharp_slow_cool", "wide_and_deep_both_sides"},
    "flexible_products": {"yes"},
    "back_up_the_bond": {"mesh_margin_keyholes"},
    "stop_holes": {"yes"},
    "safe_for_all": {"cold_bond_or_fasten"},
}
FULL = settings(max_examples=150, deadline=None)


@cache
def shipped_model() -> Model:
    """The shipped knowledge; the reason is shown when it does not load."""
    model, problems = load()
    assert model is not None, [str(one) for one in problems if one.level == "error"][:10]
    return model


@cache
def ruleset() -> RuleSet:
    return RuleSet.compile(shipped_model().rules)


def rows() -> list[dict[str, Any]]:
    """Every rule as it stands in its file, all scalars as text."""
    found = []
    for path in sorted((Path(places().knowledge) / "rules").rglob("*.yaml")):
        found += yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)["rules"]
    return found


ROWS = rows()


def facts_of(given_: Mapping[str, Any]) -> Iterator[Fact]:
    """The facts that an example gives: a list is several facts of one name, numbers are numbers."""
    numbers = {"floats_at", "sinks_at"} | {c.id for c in shipped_model().cues.values() if c.kind == "number"}
    for name, value in given_.items():
        for one in value if isinstance(value, list) else [value]:
            yield Fact(name, float(one) if name in numbers else one)


def cases_of(example: Mapping[str, Any]) -> Iterator[list[Fact]]:
    """The facts of an example, or of each of its cases."""
    given = list(facts_of(example["given"]))
    for name, values in example.get("each", {"": [""]}).items():
        for value in values:
            yield [*given, *facts_of({name: value})] if name else given


def expected_fact(row: Mapping[str, str]) -> Fact:
    """The engine's fact for one `expect:` of an example."""
    if "fact" in row:
        return Fact(row["fact"], row["value"])
    if "doubt" in row:
        return Fact(f"doubt:{row['doubt']}", row["level"])
    if "mute" in row:
        return Fact("mute", row["mute"] + (f"={row['value']}" if "value" in row else ""))
    ((kind, value),) = row.items()
    return Fact(kind, value)


def run(facts: Any) -> Chain:
    chain = Chain(ruleset())
    for fact in facts:
        chain.tell(fact)
    return chain


def fired(chain: Chain) -> set[str]:
    return {firing.rule for firing in chain.firings()}


@st.composite
def answers(draw: st.DrawFn) -> list[Fact]:
    """Answers to some of the shipped cues, and what is known of part and shop."""
    facts: list[Fact] = []
    cues = shipped_model().cues
    for cue in draw(st.lists(st.sampled_from(sorted(cues)), unique=True, max_size=14)):
        words = [value.id for value in cues[cue].values]
        if cues[cue].kind == "choice":
            facts.append(Fact(cue, draw(st.sampled_from(words))))
        elif cues[cue].kind == "set":
            facts += [Fact(cue, word) for word in draw(st.lists(st.sampled_from(words), unique=True, max_size=4))]
        elif cues[cue].kind == "number":
            facts.append(Fact(cue, draw(st.floats(0.5, 3.0))))
        elif cues[cue].kind == "liquids":
            name = draw(st.sampled_from(["floats_at", "sinks_at"]))
            facts.append(Fact(name, draw(st.floats(0.79, 1.3))))
        else:
            facts.append(Fact(cue, ">PP<"))
    gate = draw(st.sampled_from(["", "open", "ask", "refer", "replace"]))
    if gate:
        facts.append(Fact("part_gate", gate))
    facts += [Fact("allow", what) for what in draw(st.sets(st.sampled_from(["burn", "solvent"])))]
    if draw(st.booleans()):
        facts.append(Fact("shop", "welder"))
    return facts


@st.composite
def beliefs(draw: st.DrawFn) -> list[Fact]:
    """What the session tells of a belief spread over a few compounds, as it may stand at any moment."""
    model = shipped_model()
    size = len(model.compounds)
    weights = [0.0] * size
    for _ in range(draw(st.integers(1, 6))):
        weights[draw(st.integers(0, size - 1))] += draw(st.sampled_from([0.02, 0.1, 1.0, 4.0, 30.0]))
    total = sum(weights)
    belief = Belief(tuple(w / total for w in weights), (1.0,), 0.0)
    return list(belief_facts(model, belief, draw(st.sampled_from(STATUSES))))


@st.composite
def situations(draw: st.DrawFn) -> list[Fact]:
    """Answers with or without a belief, in any combination, also such as no honest interview would give."""
    return draw(answers()) + (draw(beliefs()) if draw(st.booleans()) else [])


@st.composite
def advised(draw: st.DrawFn) -> list[Fact]:
    """A belief over few compounds behind an open gate, with some answers: where advice is given."""
    gate = ("duty", "part_gate", "condition")
    facts = [fact for fact in draw(answers()) if fact.name not in gate]
    few = draw(st.integers(0, len(facts)))
    return [*facts[:few], Fact("duty", "none_of_these"), *draw(beliefs())]


# ---------------------------------------------------------------- the rules as data


def test_there_are_enough_rules_of_every_kind() -> None:
    """At least 120 rules, and each kind of job is done by several of them."""
    assert len(shipped_model().rules) == len(ROWS) >= 120
    kinds = Counter(kind for row in ROWS for kind in {next(iter(one)) for one in row["conclude"]})
    for kind in ("fact", "withhold", "doubt", "mute", "caution", "contradiction", "against"):
        assert kinds[kind] >= 8, (kind, kinds[kind])


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_rule_says_why_where_from_and_when_not(row: dict[str, Any]) -> None:
    """A rule teaches: one sentence, a source, an example that shows it and a near miss that shows its edge."""
    because = row["because"]
    assert 40 <= len(because) <= 220, because
    assert because.endswith(".") and because[0].isupper(), because
    assert ". " not in because.replace("g. ", ""), f"one sentence: {because}"
    assert row["source"], row["id"]
    assert row["examples"] and row["near_misses"], row["id"]
    assert all(miss["because"] for miss in row["near_misses"])


def test_no_two_rules_share_their_reason() -> None:
    """A rule whose sentence stands elsewhere already is a copy, not a rule."""
    twice = [text for text, n in Counter(row["because"] for row in ROWS).items() if n > 1]
    assert not twice


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_a_rule_does_what_its_examples_say(row: dict[str, Any]) -> None:
    """Examples hold under all shipped rules together; the near misses do not fire the rule."""
    for example in row["examples"]:
        for facts in cases_of(example):
            chain = run(facts)
            assert row["id"] in fired(chain), facts
            for wanted in example["expect"]:
                assert chain.holds(expected_fact(wanted)), (facts, wanted)
    for miss in row["near_misses"]:
        for facts in cases_of(miss):
            assert row["id"] not in fired(run(facts)), facts


# Parts of conditions that no example exercises; the number may only go down.
UNTRIED = 0


def test_every_part_of_every_condition_is_exercised() -> None:
    """Leave any condition, or any word of a list, out of a shipped rule: an example or near miss changes."""
    compiled = check().compiled
    assert compiled is not None
    left = [f"{one.rule}: {one.part}" for one in untried(compiled)]
    assert len(left) <= UNTRIED, left


def test_every_declared_fact_is_concluded_and_can_be_said() -> None:
    """A declared fact or value that no rule concludes is dead, and one without words cannot be shown."""
    concluded = {(c.name, c.value) for rule in shipped_model().rules for c in rule.conclude}
    declared = [(f.name, v, text) for f in shipped_model().facts.values() for v, text in f.values.items()]
    assert not [(name, value) for name, value, _ in declared if (name, value) not in concluded]
    assert all(text.strip() for _, _, text in declared)


# ---------------------------------------------------------------- the gate


@pytest.mark.parametrize("duty", GATED_DUTIES)
def test_every_duty_shuts_the_gate_and_says_what_to_do(duty: str) -> None:
    """A part that guards somebody is referred or replaced, with a caution, whatever else is known."""
    chain = run([Fact("duty", duty), Fact("part_gate", "open"), Fact("condition", "sound")])
    assert chain.values("gate") == ("shut",)
    assert set(chain.values("gate_decision")) <= {"refer", "replace"}
    assert chain.values("gate_decision")
    assert any(str(caution).startswith("ref-") for caution in chain.values("caution"))


def test_the_duty_question_offers_every_duty_tested_here() -> None:
    """A duty added to the question needs its own gate rule; this list must not fall behind."""
    offered = {value.id for value in shipped_model().cues["duty"].values}
    assert offered == {*GATED_DUTIES, "none_of_these"}


@FULL
@given(situations())
def test_the_gate_opens_only_on_an_answered_harmless_duty(facts: list[Fact]) -> None:
    """Open means: somebody answered none of these, the kind of part is not gated, the plastic is not rotten."""
    told: dict[str, set[Any]] = {}
    for fact in facts:
        told.setdefault(fact.name, set()).add(fact.value)
    gate = run(facts).values("gate")
    harmless = told.get("duty") == {"none_of_these"}
    gated = bool(told.get("part_gate", set()) & {"refer", "replace"})
    rotten = bool(told.get("condition", set()) & {"chalked_or_crazed", "crumbles"})
    wanted = "shut" if gated or rotten or ("duty" in told and not harmless) else "open" if harmless else "not_known"
    assert gate == (wanted,)


@FULL
@given(situations())
def test_nothing_tells_to_go_ahead_unless_the_gate_is_open(facts: list[Fact]) -> None:
    """Over a shut or unknown gate no rule says how to repair, however sure the plastic is."""
    chain = run(facts)
    if chain.values("gate") == ("open",):
        return
    said = {(name, value) for name, values in GO_AHEAD.items() for value in chain.values(name) if value in values}
    assert not said


def needs_open_gate(rule: Rule) -> bool:
    return any(
        (isinstance(part, Equals) and (part.name, part.value) == ("gate", "open"))
        or (isinstance(part, OneOf) and part.name == "gate" and part.values == ("open",))
        for part in _must_hold(rule.when)
    )


def _must_hold(when: All) -> Iterator[Any]:
    for part in when.parts:
        if isinstance(part, All):
            yield from _must_hold(part)
        else:
            yield part


def test_every_go_ahead_names_the_open_gate() -> None:
    """Not only in the drawn situations: each rule that tells to go ahead asks for the open gate itself."""
    unguarded = [
        rule.id
        for rule in shipped_model().rules
        if any(c.value in GO_AHEAD.get(c.name, ()) for c in rule.conclude) and not needs_open_gate(rule)
    ]
    assert not unguarded


def test_the_list_of_go_aheads_names_only_declared_words() -> None:
    """A renamed fact must not slip out of the guard above."""
    declared = shipped_model().facts
    assert all(values <= set(declared[name].values) for name, values in GO_AHEAD.items())


# ---------------------------------------------------------------- safe and consistent advice


@FULL
@given(situations(), st.sampled_from(["fuel", "high_voltage"]))
def test_no_heat_test_near_fuel_or_battery(facts: list[Fact], duty: str) -> None:
    """Near fuel or a traction battery no flame and no hot needle may be proposed (DRUM, common practice)."""
    chain = run([fact for fact in facts if fact.name != "duty"] + [Fact("duty", duty)])
    assert {*BURN, "hot_needle"} <= set(chain.values("withhold"))


@FULL
@given(situations())
def test_no_burning_once_a_halogen_has_shown(facts: list[Fact]) -> None:
    """Chlorine shown is acid in the air if burned: every flame test is held back and the caution is given."""
    chain = run(facts)
    if chain.holds(Fact("halogen_sign", "shown")):
        assert {*BURN, "hot_needle", "beilstein"} <= set(chain.values("withhold"))
        assert chain.holds(Fact("caution", "burn-pvc"))


@FULL
@given(advised())
def test_the_next_steps_do_not_contradict_one_another(facts: list[Fact]) -> None:
    """One promoter verdict at most; a weld that is forbidden is not offered; the gentlest cleaner stands alone."""
    chain = run(facts)
    assert len(chain.values("promoter")) <= 1
    weld = set(chain.values("weld"))
    assert not ("no" in weld and weld & {"possible", "only_known_type"}), weld
    assert not {"possible", "doubtful"} <= weld
    cleaners = set(chain.values("solvent_clean"))
    assert "plastic_safe_cleaner" not in cleaners or len(cleaners) == 1


@FULL
@given(advised())
def test_a_weld_is_possible_only_for_a_known_unfilled_thermoplastic(facts: list[Fact]) -> None:
    """No weld under nine in ten for one weldable polymer, and none while fibre is possible (PAWELD, GMT97)."""
    chain = run(facts)
    if chain.holds(Fact("weld", "possible")):
        assert chain.values("believed.class") == ("thermoplastic",)
        assert chain.values("believed.filler_kind") == ("none",)
        assert len(chain.values("believed.polymer")) == 1
        assert "fibre" not in chain.values("possible.filler_kind")
        polymer = shipped_model().materials[str(chain.values("believed.polymer")[0])]
        assert polymer.weldable == "yes"
        assert "no" not in chain.values("weld")


@FULL
@given(advised())
def test_a_possible_glassy_plastic_is_never_sent_solvent(facts: list[Fact]) -> None:
    """One chance in twenty of a plastic that cracks is enough for soap and water (PCESC, FAA43)."""
    chain = run(facts)
    if "glassy" in chain.values("possible.cell"):
        assert "soap_and_water" in chain.values("solvent_clean")
        assert "plastic_safe_cleaner" not in chain.values("solvent_clean")
        assert chain.holds(Fact("caution", "solvent-part-crazing"))


# ---------------------------------------------------------------- evidence


@FULL
@given(situations())
def test_contradictions_accuse_only_answers_that_were_given(facts: list[Fact]) -> None:
    """Repeat this test can only be said of a test that was made."""
    told = {fact.name for fact in facts}
    if told & {"floats_at", "sinks_at"}:
        told.add("float_liquids")
    assert set(run(facts).values("contradiction")) <= told


def test_the_gate_questions_are_never_held_back_or_doubted() -> None:
    """No rule may keep the tool from asking what the part guards."""
    for rule in shipped_model().rules:
        for one in rule.conclude:
            asked_for_gate = {"duty", "condition", "part"}
            assert not (one.name in ("withhold", "mute") and one.value in asked_for_gate), rule.id
            assert one.name.removeprefix("doubt:") not in asked_for_gate, rule.id


def test_evidence_of_rules_lowers_but_never_settles() -> None:
    """A rule's evidence leaves every compound some chance, and spares some compound of the knowledge base."""
    model = shipped_model()
    assert 8 <= len(model.against) <= 15
    for against in model.against.values():
        assert 0.0 < against.factor < 1.0
        assert against.compounds
        assert len(model.compounds) - 1 not in against.compounds, "none of these must stay possible"


@pytest.mark.parametrize(
    ("given_", "muted"),
    [
        ({"clarity": "clear", "look": ["transparent"]}, "look=transparent"),
        ({"foam_core": "yes", "look": ["foam_pores"]}, "look=foam_pores"),
        ({"gel_coat": "yes", "look": ["gel_coat_one_side"]}, "look=gel_coat_one_side"),
        ({"fibres_at_edge": "short_needles", "look": ["glass_fibres"]}, "look=glass_fibres"),
    ],
)
def test_what_was_seen_twice_counts_once(given_: dict[str, Any], muted: str) -> None:
    """The same pore, skin or fibre named in two questions is one piece of evidence."""
    assert Fact("mute", muted) in run(facts_of(given_)).facts()


@pytest.mark.parametrize(
    ("given_", "doubted", "level"),
    [
        ({"foam_core": "yes", "float_in_water": "floats"}, "float_in_water", "strong"),
        ({"painted": "yes", "acetone": "tacky"}, "acetone", "strong"),
        ({"painted": "yes", "nail": "marks"}, "nail", "strong"),
        ({"hollow": "yes", "sound": "dull"}, "sound", "strong"),
        ({"age": "over_20_years", "flex": "rigid_brittle"}, "flex", "slight"),
    ],
)
def test_what_can_fool_a_test_makes_its_answer_doubtful(given_: dict[str, Any], doubted: str, level: str) -> None:
    """Foam floats whatever it is made of, paint answers for the plastic, age turns tough into brittle."""
    assert run(facts_of(given_)).values(f"doubt:{doubted}") == (level,)
