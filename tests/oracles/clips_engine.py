"""An independent engine on the same rules: they are written out for clipspy, an open C production system.

Two uses. `from_scratch` asserts all told facts and runs with one salience per stratum. `Maintained` keeps one
environment alive, with every conclusion tied to its conditions by CLIPS's own truth maintenance (`logical`),
and retracts told facts; CLIPS lets facts that support one another keep each other alive, so this use is for
rule bases without such circles.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import clips
from plain_engine import alternatives, layer, layers

from whichresin.engine.conditions import Condition, Equals, Known, Never, NotKnown, OneOf, Var, Within
from whichresin.engine.facts import Fact, Value
from whichresin.engine.rules import Rule


def _value(value: Value | Var) -> str:
    if isinstance(value, Var):
        return f"?{value.name}"
    return f'"{value}"' if isinstance(value, str) else repr(float(value))


def _fact(name: str, value: str) -> str:
    return f'(f (name "{name}") (value {value}))'


class _Writer:
    """Turns conditions into patterns; numbers its own variables so that they never clash."""

    def __init__(self) -> None:
        self.count = 0

    def pattern(self, condition: Condition) -> str:
        """One condition as text."""
        if isinstance(condition, Equals):
            return _fact(condition.name, _value(condition.value))
        if isinstance(condition, OneOf):
            return _fact(condition.name, "|".join(map(_value, condition.values)))
        if isinstance(condition, Known):
            return _fact(condition.name, "?")
        if isinstance(condition, NotKnown):
            return f"(not {_fact(condition.name, '?')})"
        if isinstance(condition, Within):
            self.count += 1
            variable = f"?within{self.count}"
            tests = [f"(numberp {variable})"]
            if condition.low is not None:
                tests.append(f"({'>' if condition.low_open else '>='} {variable} {float(condition.low)!r})")
            if condition.high is not None:
                tests.append(f"({'<' if condition.high_open else '<='} {variable} {float(condition.high)!r})")
            return _fact(condition.name, f"{variable}&:(and {' '.join(tests)})")
        raise TypeError(f"no single pattern says {condition}")

    def patterns(self, conditions: Iterable[Condition]) -> list[str]:
        """Conditions that must all hold, as text; each way to meet what a `Never` bars is barred alone."""
        texts = []
        for condition in conditions:
            if not isinstance(condition, Never):
                texts.append(self.pattern(condition))
                continue
            for part in condition.parts:
                for needs, bars in alternatives(part):
                    inside = self.patterns([*needs, *bars])
                    texts.append(f"(not {inside[0]})" if len(inside) == 1 else f"(not (and {' '.join(inside)}))")
        return texts


def written(rules: Sequence[Rule], maintained: bool) -> Iterable[str]:
    """The fact template and the rules as CLIPS text."""
    yield "(deftemplate f (slot name) (slot value))"
    level = layers(rules)
    logical = "(logical {})" if maintained else "{}"
    for number, rule in enumerate(rules):
        for way, (needs, bars) in enumerate(alternatives(rule.when)):
            writer = _Writer()
            patterns = " ".join(writer.patterns([*needs, *bars]))
            facts = " ".join(_fact(c.name, _value(c.value)) for c in rule.conclude)
            yield (
                f"(defrule r{number}-{way} (declare (salience {5000 - layer(rule, level)})) "
                f"{logical.format(patterns) if patterns else ''} => (assert {facts}))"
            )


def facts_in(environment: clips.Environment) -> set[Fact]:
    """Everything that holds there."""
    return {Fact(f["name"], f["value"]) for f in environment.facts() if f.template.name == "f"}


class Maintained:
    """A living environment: tell and take back facts, read what follows."""

    def __init__(self, rules: Sequence[Rule], maintained: bool = True) -> None:
        self.environment = clips.Environment()
        for text in written(rules, maintained):
            self.environment.build(text)
        # A told fact may be derived too; so it stands apart, and a rule makes it a fact like any other.
        self.environment.build("(deftemplate told (slot name) (slot value))")
        told = "(told (name ?n) (value ?v))"
        self.environment.build(
            f"(defrule told (declare (salience 9999)) {f'(logical {told})' if maintained else told} "
            "=> (assert (f (name ?n) (value ?v))))"
        )
        self._template = self.environment.find_template("told")
        self.environment.reset()
        self.told: dict[Fact, clips.facts.Fact] = {}
        self.environment.run()

    def tell(self, fact: Fact) -> None:
        """Assert a told fact and run to the fixed point."""
        if fact not in self.told:
            self.told[fact] = self._template.assert_fact(name=fact.name, value=fact.value)
            self.environment.run()

    def take_back(self, fact: Fact) -> None:
        """Retract a told fact and run to the fixed point."""
        self.told.pop(fact).retract()
        self.environment.run()

    def facts(self) -> set[Fact]:
        """Everything that holds."""
        return facts_in(self.environment)

    def from_scratch(self, told: Iterable[Fact]) -> set[Fact]:
        """Start again with these facts told (for an environment made with `maintained=False`)."""
        self.environment.reset()
        for fact in told:
            self._template.assert_fact(name=fact.name, value=fact.value)
        self.environment.run()
        return self.facts()
