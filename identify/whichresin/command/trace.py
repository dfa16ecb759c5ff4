"""`whichresin trace ANSWERS`: the run over an answers file, step by step."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from whichresin.vocabulary.text import escaped

from . import output

if TYPE_CHECKING:
    from whichresin.training.trace import Step

    from .options import Options


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin trace",
        description="Tell the answers of a file one by one and show after each what was told, which rules fired and "
        "from what, which facts hold by which rules, what counts as evidence, what is believed and what is asked.",
    )
    parser.add_argument("answers", metavar="ANSWERS", help="an answers file")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    parser.add_argument("--rule", metavar="ID", help="show only the steps at which this rule fires or is withdrawn")
    parser.add_argument(
        "--knowledge", metavar="DIR", action="append", default=[], help="a folder laid over the shipped rules"
    )
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command."""
    options = parser().parse_args(args)

    from whichresin.session.answers import BadAnswers, read_answers
    from whichresin.session.load import NoModel, load_model
    from whichresin.training.trace import steps

    try:
        model = load_model(options.knowledge)
        state = read_answers(model, Path(options.answers)).state
    except (BadAnswers, NoModel) as error:
        raise output.BadInput(str(error)) from None
    if options.rule is not None and options.rule not in {rule.id for rule in model.rules}:
        from whichresin.knowledge.problems import did_you_mean
        from whichresin.vocabulary.text import shown

        hint = did_you_mean(options.rule, [rule.id for rule in model.rules])
        raise output.BadInput(f"there is no rule {shown(options.rule)}; {hint or 'rules are in knowledge/rules'}")
    found = (
        (number, step)
        for number, step in enumerate(steps(model, state))
        if options.rule is None or options.rule in {one.rule for one in (*step.fired, *step.withdrawn)}
    )
    if options.json:
        output.say_json({"schema": 1, "steps": [{"step": number, **step.as_json()} for number, step in found]})
        return output.DONE
    for number, step in found:
        sys.stdout.writelines(f"{escaped(line)}\n" for line in _lines(number, step))
        sys.stdout.flush()
    return output.DONE


def _lines(number: int, step: Step) -> Iterator[str]:
    from whichresin.training.trace import LISTED, supports_of

    yield f"step {number}: {step.cue or 'before any answer'}"
    yield from (f"  told       {fact}" for fact in step.told)
    for word, firings in (("fires", step.fired), ("withdrawn", step.withdrawn)):
        for one in firings:
            grounds = "; ".join(supports_of(one)) or "nothing told"
            yield f"  {word:<10} {one.rule}: from {grounds} -> {', '.join(map(str, one.concluded))}"
    yield from (f"  holds      {one.fact} by {', '.join(one.rules)}" for one in step.derived)
    yield from (f"  gone       {fact}" for fact in step.gone)
    counted = [f"{o.cue}{f' (doubt {o.doubt})' if o.doubt else ''}" for o in step.evidence.observations]
    yield f"  counts     {', '.join(counted) or 'nothing yet'}"
    if step.evidence.muted:
        yield f"  muted      {', '.join(step.evidence.muted)}"
    chances = (("cells", step.result.cells), ("polymers", step.result.polymers))
    for word, some in chances:
        yield f"  {word:<10} {', '.join(f'{one.id} {one.probability:.3f}' for one in some[:LISTED])}"
    asked = [f"{q.cue} {q.worth:.1f}" for q in step.result.questions[:LISTED]]
    yield (
        f"  asks       {', '.join(asked)} (worth in minutes)"
        if asked
        else f"  asks       nothing: {step.result.status}"
    )
