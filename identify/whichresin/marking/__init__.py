"""Marking: read what is left of a moulded marking and say what it can be, with odds.

In: a text as a person typed it, and the tables of `knowledge/markings/`. Out: a frozen `Decoding` with readings,
odds, sums by polymer, class and filler, and what each part means; `weights` turns it into evidence over compounds.
It knows no belief, asks nothing and prints nothing, and it never states a class that a plausible reading contradicts.
"""

from __future__ import annotations
