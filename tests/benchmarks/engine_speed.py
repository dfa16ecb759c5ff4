"""How fast the rule core is: one answer told and taken back, against clipspy on the same rules in the same run.

Run it: `python tests/benchmarks/engine_speed.py [--json]`. The rule bases are the project's own and invented ones
of the same shape from fixed seeds: cues with a few values, derived facts in three layers, negations, variables,
intervals.

What is compared: in the middle of an interview (a third of the cues answered) one more answer is told, the engine
runs to its fixed point, the answer is taken back, the engine runs again. Both keep what follows in step: here by
justifications, from which reasons can be read at any time, there by CLIPS's own `logical` truth maintenance,
which gives no reasons. Each side gets the same answers in the same order, by its fastest way in (for clipspy
`Template.assert_fact`, twice as fast as `assert_string`); both are warm; the best of several rounds counts, so that
a busy machine harms neither. Before timing, both must hold the same facts after every answer, or the run ends.

Growth: the same with ten times the rules and ten times the cues, as when a pack of knowledge is laid over
another: each answer still concerns a handful of rules. Dense growth keeps the cues and makes ten times the rules
about them: then ten times as many rules fire for each answer, and the time follows what fires.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

import clips
from clips_engine import facts_in, written

from whichresin.engine.chain import Chain, RuleSet
from whichresin.engine.conditions import (
    All,
    Condition,
    Equals,
    Known,
    Never,
    NotKnown,
    OneOf,
    Some,
    Var,
    Within,
)
from whichresin.engine.explain import lines
from whichresin.engine.facts import Fact
from whichresin.engine.rules import Conclusion, Rule
from whichresin.knowledge.load import load

SEEDS = range(20, 28)
RULES, CUES, ROUNDS = 150, 30, 7
TRIED = 20


def values_of(cue: str) -> list[str]:
    """The answers of one invented cue: two to six."""
    return [f"{cue}-{letter}" for letter in "abcdef"[: 2 + sum(map(ord, cue)) % 5]]


def rule_base(rules: int, cues: int, seed: int) -> tuple[Rule, ...]:
    """Invented rules: most on one to three answers, some on derived facts, a third with a negation."""
    draw = random.Random(seed)
    names = [f"cue{n}" for n in range(cues)]
    derived = [f"derived{n}" for n in range(max(1, cues // 2))]
    layers = [derived[0::3], derived[1::3], derived[2::3]]
    made = []
    for number in range(rules):
        layer = draw.choices((0, 1, 2), (6, 3, 1))[0]
        below = [name for names_below in layers[:layer] for name in names_below]
        parts: list[Condition] = []
        for _ in range(draw.choices((1, 2, 3), (4, 5, 2))[0]):
            name = draw.choice(below) if below and draw.random() < 0.4 else draw.choice(names)
            parts.append(_condition(name, draw))
        if draw.random() < 0.35:
            bar = draw.choice(below or names)
            parts.append(Never((_condition(bar, draw),)) if draw.random() < 0.8 else NotKnown(bar))
        bound = [p.value for p in parts if isinstance(p, Equals) and isinstance(p.value, Var)]
        target = draw.choice(layers[layer] or derived[:1])
        kind = draw.random()
        if kind < 0.45:
            conclusion = Conclusion(target, bound[0] if bound else draw.choice(values_of(target)))
        else:
            conclusion = Conclusion(
                draw.choice(("caution", "withhold", "mute", "against")), f"c{number % (rules // 2)}"
            )
        made.append(Rule(f"rule-{number}", All(tuple(parts)), (conclusion,), f"reason {number}", ("invented",)))
    return tuple(made)


def _condition(name: str, draw: random.Random) -> Condition:
    values = values_of(name)
    kind = draw.random()
    if kind < 0.72:
        return Equals(name, draw.choice(values))
    if kind < 0.84:
        return OneOf(name, tuple(draw.sample(values, 2)))
    if kind < 0.90:
        return Some((Equals(name, values[0]), Within("density", draw.choice((None, 0.9)), 1.1)))
    return Known(name) if kind < 0.95 else Equals(name, Var("v"))


def answers(cues: int, seed: int) -> tuple[list[Fact], list[Fact]]:
    """(answers already given: a third of the cues; answers to try, as many on every base)."""
    draw = random.Random(seed + 1)
    names = [f"cue{n}" for n in range(cues)]
    draw.shuffle(names)
    picked = [Fact(name, draw.choice(values_of(name))) for name in names]
    return picked[: cues // 3], picked[cues // 3 :][:TRIED]


def best(work: Callable[[], object], times: int = 1, rounds: int = ROUNDS) -> float:
    """Microseconds for one of `times` pieces of work, in the best round."""
    found = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        found.append((time.perf_counter() - start) / times * 1e6)
    return min(found)


class Clips:
    """clipspy with the same rules, each conclusion tied to its conditions by `logical`."""

    def __init__(self, rules: Sequence[Rule]) -> None:
        self.environment = clips.Environment()
        for text in written(rules, maintained=True):
            self.environment.build(text)
        self.environment.reset()
        self.environment.run()
        self.template = self.environment.find_template("f")

    def tell(self, fact: Fact) -> clips.facts.Fact:
        """Assert one fact and run."""
        told = self.template.assert_fact(name=fact.name, value=fact.value)
        self.environment.run()
        return told

    def facts(self) -> set[Fact]:
        """Everything that holds."""
        return facts_in(self.environment)


def shipped(seed: int) -> tuple[tuple[Rule, ...], list[Fact], list[Fact]]:
    """The project's own rules, and answers to its cues that are answered with a word: (rules, given, to try)."""
    model = load().model
    if model is None:
        sys.exit("the shipped knowledge does not load; `whichresin check` says why")
    draw = random.Random(seed)
    cues = [cue for cue in model.cues.values() if cue.values]
    picked = [Fact(cue.id, draw.choice(cue.values).id) for cue in draw.sample(cues, len(cues))]
    return model.rules, picked[: len(cues) // 3], picked[len(cues) // 3 :][:TRIED]


def invented(rules: int, cues: int, seed: int) -> tuple[tuple[Rule, ...], list[Fact], list[Fact]]:
    """An invented base with answers given and to try."""
    return rule_base(rules, cues, seed), *answers(cues, seed)


def measure(base: tuple[Rule, ...], given: list[Fact], tried: list[Fact]) -> dict[str, float]:
    """Both engines on one rule base; times in microseconds."""
    ruleset = RuleSet.compile(base)
    chain, other = Chain(ruleset), Clips(base)
    for fact in given:
        chain.tell(fact)
        other.tell(fact)
    fired = 0
    for fact in tried:
        before = set(chain.firings())
        chain.tell(fact)
        told = other.tell(fact)
        if chain.facts() != other.facts():
            sys.exit(f"the engines disagree after {fact}; run the tests in tests/engine first")
        fired += len(before ^ set(chain.firings()))
        chain.take_back(fact)
        told.retract()
        other.environment.run()
    derived = sorted(chain.facts() - set(given))

    def here() -> None:
        for fact in tried:
            chain.tell(fact)
            chain.take_back(fact)

    assert_fact, run = other.template.assert_fact, other.environment.run

    def there() -> None:
        for name, value in tried:
            told = assert_fact(name=name, value=value)
            run()
            told.retract()
            run()

    return {
        "rules": len(base),
        "told and taken back, us": best(here, len(tried)),
        "the same in clipspy, us": best(there, len(tried)),
        "firings changed by an answer": fired / len(tried),
        "read all facts, us": best(chain.facts),
        "read all firings, us": best(chain.firings),
        "explain one conclusion, us": best(lambda: [lines(chain.why(f)) for f in derived], len(derived)),
        "copy a chain, us": best(chain.copy),
        "start a chain, us": best(lambda: Chain(ruleset), rounds=3),
        "compile the rules, us": best(lambda: RuleSet.compile(base), rounds=3),
    }


@contextmanager
def output_aside() -> Iterator[None]:
    """Send what the C library prints (a note on memory when an environment ends) to standard error."""
    sys.stdout.flush()
    kept = os.dup(1)
    os.dup2(2, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)


def main() -> None:
    """Measure, print a table of figures and ratios (or JSON)."""
    parser = argparse.ArgumentParser(description="time the rule core against clipspy")
    parser.add_argument("--json", action="store_true", help="print the figures as JSON")
    as_json = parser.parse_args().json
    shapes: dict[str, Callable[[int], tuple[tuple[Rule, ...], list[Fact], list[Fact]]]] = {
        "shipped rules": shipped,
        "interview": partial(invented, RULES, CUES),
        "ten times the rules and cues": partial(invented, RULES * 10, CUES * 10),
        "ten times the rules, same cues": partial(invented, RULES * 10, CUES),
    }
    bases: dict[str, dict[str, float]] = {}
    for name, make in shapes.items():
        with output_aside():
            runs = [measure(*make(seed)) for seed in SEEDS]
        bases[name] = {key: sum(run[key] for run in runs) / len(runs) for key in runs[0]}
    mine, theirs, fired = "told and taken back, us", "the same in clipspy, us", "firings changed by an answer"
    small = bases["interview"]
    faster = {name: found[theirs] / found[mine] for name, found in bases.items()}
    growth = {name: found[mine] / small[mine] for name, found in bases.items() if name.startswith("ten")}
    if as_json:
        print(json.dumps({"schema": 1, "bases": bases, "times_faster": faster, "growth": growth}, indent=2))
        return
    for name, found in bases.items():
        print(f"{name} ({found['rules']:.0f} rules):")
        for key in list(found)[1:]:
            value = found[key]
            print(f"  {key:30}{value:10.1f}")
    for name, ratio in faster.items():
        print(f"times faster than clipspy, {name}: {ratio:.1f}")
    for name, ratio in growth.items():
        print(f"growth, {name}: {ratio:.2f} (firings: {bases[name][fired] / small[fired]:.2f})")


if __name__ == "__main__":
    main()
