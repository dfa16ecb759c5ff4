"""One interview: events folded into a state, the state turned into one result that every front end reads.

In: a compiled model and what the person said. Out: a frozen `Result`. Refuses to print or to ask: front ends do that.
"""
