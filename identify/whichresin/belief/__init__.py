"""What the answers say: compounds and skills weighed exactly, the next question chosen by what it is worth.

In: a compiled `Model`, `Observation`s, a prior and factors. Out: a `Belief`, the candidate questions with
their worth, whether to stop and why, and whether the answers contradict each other. Pure functions: nothing
is read, printed, timed or drawn at random here.
"""
