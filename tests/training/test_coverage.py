"""Coverage: a part is said to be untried only while no example exercises it, and the odds are right."""

from __future__ import annotations

import json
from math import exp, inf, pi, sqrt
from pathlib import Path
from xml.etree import ElementTree

import pytest

from whichresin.command.main import run
from whichresin.engine.chain import Chain
from whichresin.engine.facts import Fact
from whichresin.engine.ruleset import RuleSet
from whichresin.knowledge.model import Model
from whichresin.training.apart import DENSITY, _normals, pairs
from whichresin.training.check import check
from whichresin.training.exercised import holds, untried

RULE = """\
rules:
  - id: own
    when:
      all: [{{grind: [powder, clumps]}}, {{flex: rigid}}]
      any: [{{nail: marks}}, {{painted: yes}}]
      none: [{{hollow: yes}}]
    conclude: [{{doubt: grind, level: slight}}]
    because: It is so.
    source: from memory
    examples: [{{given: {{grind: powder, flex: rigid, nail: marks}}}}{examples}]
    near_misses: [{{given: {{grind: powder, flex: flexible, nail: marks}}, because: b}}{near}]
"""
MORE = {
    "grind is one of powder, clumps": (", {given: {flex: rigid, nail: marks}, because: b}", ""),
    "clumps of grind is one of powder, clumps": ("", ", {given: {grind: clumps, flex: rigid, nail: marks}}"),
    "painted is yes": ("", ", {given: {grind: powder, flex: rigid, painted: yes}}"),
    "hollow is yes": (", {given: {grind: powder, flex: rigid, nail: marks, hollow: yes}, because: b}", ""),
}


def named(folder: Path, near: str = "", examples: str = "") -> set[str]:
    """The parts of the rule that are said to be untried."""
    folder.mkdir(exist_ok=True)
    (folder / "rules").mkdir(exist_ok=True)
    (folder / "rules" / "own.yaml").write_text(RULE.format(near=near, examples=examples), encoding="utf-8")
    checked = check([str(folder)])
    assert not checked.has_errors, [str(one) for one in checked.problems]
    assert checked.compiled is not None
    return {one.part for one in untried(checked.compiled) if one.rule == "own"}


def test_what_no_example_exercises_is_named(tmp_path: Path) -> None:
    """`flex`, `powder` and `nail` are exercised by the example and the near miss; nothing else is."""
    assert named(tmp_path) == set(MORE)


@pytest.mark.parametrize("part", MORE)
def test_the_fitting_example_takes_the_part_off_the_list(part: str, tmp_path: Path) -> None:
    """One more case, and just that part is exercised."""
    near, examples = MORE[part]
    assert part not in named(tmp_path, near, examples)


def test_the_plain_evaluation_agrees_with_the_engine(shipped: Model) -> None:
    """Whether a rule fires on the facts that hold is asked of the engine and of the plain reading of its conditions."""
    start = Chain(RuleSet.compile(shipped.rules))
    for told in (
        [Fact("grind", "powder"), Fact("flex", "rigid")],
        [Fact("duty", "fuel")],
        [Fact("look", "foam_pores")],
    ):
        chain = start.copy()
        for fact in told:
            chain.tell(fact)
        held: dict[str, tuple[object, ...]] = {}
        for name, value in chain.facts():
            held[name] = (*held.get(name, ()), value)
        fired = {one.rule for one in chain.firings()}
        for rule in shipped.rules:
            if "Var(" not in repr(rule.when):
                assert holds(rule.when, held) == (rule.id in fired), rule.id  # type: ignore[arg-type]


def test_coefficients_are_coefficients(shipped: Model) -> None:
    """Between 0 and 1, best cue first, and fewer tests never tell more."""
    every = {(p.one, p.other): p for p in pairs(shipped)}
    fewer = {(p.one, p.other): p for p in pairs(shipped, ("burn", "solvent"))}
    assert len(every) == len(fewer) == len(shipped.materials) * (len(shipped.materials) - 1) // 2
    for names, pair in every.items():
        values = list(pair.by_cue.values())
        assert values == sorted(values) and values[0] >= 0.0 and values[-1] <= 1.0 + 1e-12
        assert pair.together <= fewer[names].together + 1e-12


def test_two_normal_densities_against_an_integral() -> None:
    """The closed form (Bhattacharyya 1943) against a sum over a fine grid."""
    one, other = (0.905, 0.02), (0.955, 0.03)

    def at(x: float, mean: float, sd: float) -> float:
        return exp(-((x - mean) ** 2) / (2 * sd * sd)) / (sd * sqrt(2 * pi))

    step = 1e-4
    grid = (0.7 + step * k for k in range(5000))
    summed = sum(sqrt(at(x, *one) * at(x, *other)) * step for x in grid)
    assert _normals(one, other) == pytest.approx(summed, rel=1e-4)
    assert _normals(one, one) == pytest.approx(1.0)
    assert inf > _normals(one, (9.0, 0.01)) >= 0.0


def test_twins_of_the_trade_come_out_alike_and_strangers_do_not(shipped: Model) -> None:
    """PA6 and PA66 differ in hardly anything a bench shows (common practice); PP and PVC-U differ in nearly all."""
    found = {frozenset((p.one, p.other)): p for p in pairs(shipped)}
    assert found[frozenset(("PA6", "PA66"))].together > 0.9
    assert found[frozenset(("PP", "PVC-U"))].together < 0.01
    assert DENSITY in found[frozenset(("PP", "PVC-U"))].by_cue


def test_the_command(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Text for eyes, one document for programs, the same numbers in both."""
    transcripts = str(Path(__file__).parents[2] / "transcripts" / "abs-grille.yaml")
    few = ["coverage", "--transcripts", transcripts, "--draws", "1", "--interviews", "2"]
    picture = tmp_path / "map.svg"
    assert run([*few, "--picture", str(picture), "--all"]) == 0
    text = capsys.readouterr().out
    assert run([*few, "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert f"{len(found['untried'])} of {found['parts']} parts of conditions" in text
    assert f"{len(found['unfired'])} rules fire in none" in text
    assert "gate-opens" not in found["unfired"]
    assert found["alike"][0]["alike"] >= found["alike"][-1]["alike"] >= 0.5
    assert {"PA6", "PA66"} == {found["alike"][0]["one"], found["alike"][0]["other"]}
    assert found["alike"][0]["why"] in text and "every cue expects the same of both" in text
    asked = {one["cue"]: one for one in found["asked"]}
    assert max(one["interviews"] for one in asked.values()) <= 2 and any(one["interviews"] for one in asked.values())
    assert all(bool(one["why"]) == (one["interviews"] == 0) for one in asked.values())
    for cue, one in asked.items():
        assert one["interviews"] or f"  {cue}: {one['why']}" in text
    root = ElementTree.parse(picture).getroot()
    titles = {title.text for title in root.iter("{http://www.w3.org/2000/svg}title")}
    matrix, names = found["confusion"]["chance"], found["confusion"]["names"]
    boxes = [sum(p >= least for row in matrix for p in row) for least in (0.0101, 0.0099)]
    assert boxes[0] <= len(titles) <= boxes[1]
    assert any(title.startswith("PA6 taken for PA66: ") for title in titles if title)
    assert set(names) <= {text.text for text in root.iter("{http://www.w3.org/2000/svg}text")}


def test_faulty_knowledge_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence with the first error, and how to see the rest."""
    path = tmp_path / "own.yaml"
    path.write_text("rules: [{id: x}]\n")
    assert run(["coverage", str(path)]) == 2
    assert "whichresin check" in capsys.readouterr().err
