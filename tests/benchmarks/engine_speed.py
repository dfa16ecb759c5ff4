"""How fast the rule core is: one answer told and taken back, against clipspy on the same rules in the same run.

Run it: `python tests/benchmarks/engine_speed.py [--json]`. The rule bases are invented from fixed seeds in the
shape of an interview: cues with a few values, derived facts in three layers, negations, variables, intervals.

What is compared: in the middle of an interview (a third of the cues answered) one more answer is told, the engine
runs to its fixed point, the answer is taken back, the engine runs again. Both keep what follows in step: here by
justifications, from which reasons can be read at any time, there by CLIPS's own `logical` truth maintenance,
which gives no reasons. Each side gets the same answers in the same order, ready-made (facts here, texts for
`assert_string` there, its fastest way in); both are warm; the best of several rounds counts, so that a busy
machine harms neither. Before timing, both must hold the same facts after every answer, or the run ends.

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
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))

import clips
from clips_engine import written

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

    def tell(self, fact: Fact) -> clips.facts.Fact:
        """Assert one fact and run."""
        told = self.environment.assert_string(f'(f "{fact.name}" "{fact.value}")')
        self.environment.run()
        return told

    def facts(self) -> set[Fact]:
        """Everything that holds."""
        return {Fact(*fact) for fact in self.environment.facts() if fact.template.name == "f"}


def measure(rules: int, cues: int, seed: int) -> dict[str, float]:
    """Both engines on one invented base; times in microseconds."""
    base = rule_base(rules, cues, seed)
    given, tried = answers(cues, seed)
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

    texts = [f'(f "{fact.name}" "{fact.value}")' for fact in tried]
    assert_string, run = other.environment.assert_string, other.environment.run

    def there() -> None:
        for text in texts:
            told = assert_string(text)
            run()
            told.retract()
            run()

    return {
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
    shapes = {
        "interview": (RULES, CUES),
        "ten times the rules and cues": (RULES * 10, CUES * 10),
        "ten times the rules, same cues": (RULES * 10, CUES),
    }
    bases: dict[str, dict[str, float]] = {}
    for name, (rules, cues) in shapes.items():
        with output_aside():
            runs = [measure(rules, cues, seed) for seed in SEEDS]
        bases[name] = {key: sum(run[key] for run in runs) / len(runs) for key in runs[0]}
    mine, theirs, fired = "told and taken back, us", "the same in clipspy, us", "firings changed by an answer"
    small = bases["interview"]
    faster = {name: found[theirs] / found[mine] for name, found in bases.items()}
    growth = {name: found[mine] / small[mine] for name, found in bases.items() if name != "interview"}
    if as_json:
        print(json.dumps({"schema": 1, "bases": bases, "times_faster": faster, "growth": growth}, indent=2))
        return
    for name, found in bases.items():
        print(f"{name} ({shapes[name][0]} rules, {shapes[name][1]} cues):")
        for key, value in found.items():
            print(f"  {key:30}{value:10.1f}")
    for name, ratio in faster.items():
        print(f"times faster than clipspy, {name}: {ratio:.1f}")
    for name, ratio in growth.items():
        print(f"growth, {name}: {ratio:.2f} (firings: {bases[name][fired] / small[fired]:.2f})")


if __name__ == "__main__":
    main()
