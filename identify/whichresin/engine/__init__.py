"""Forward chaining with reasons: facts in, derived facts out, each with all its justifications.

In: rules compiled once (`RuleSet`), facts told or taken back one at a time (`Chain`).
Out: the facts that hold, and for each the tree of why it holds.
Knows no plastics, no YAML, and does no input or output.
"""
