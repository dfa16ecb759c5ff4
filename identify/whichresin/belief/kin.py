"""Would a plastic that is not in the base explain the answers better than those that are?

Every family of the base (repair cell, class, family, kind of filler) is given one more member, its *kin*: what a
plastic of that family might be like that nobody wrote down. Its answers are the family's mixture, broadened towards
'none of these'; its density is the family's, wider. What nobody wrote down is rare, so kin of rare families
get more than their share: the square root of it. The sceptic's model holds the base and the kin, half of all parts
each.

    strangeness = ln( P(answers | some kin) / P(answers | some plastic of the base) )

is the likelihood ratio of the two, the sharpest test there is of one against the other (Neyman and Pearson, Phil.
Trans. R. Soc. A 231 (1933) 289-337) as far as the kin describe what is not listed. It is no probability: how many
parts are of an unlisted plastic is not in it. A rare polymer of the base is strange by nature, so how much is needed
before a conclusion is withheld is tuned for each polymer by simulation (shared/observer.yaml).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, log, sqrt
from operator import mul

from whichresin.belief.decision import DEFER, Target
from whichresin.belief.likelihood import Observation
from whichresin.belief.posterior import SMALLEST_WEIGHT, BeliefState, Workspace, weigh
from whichresin.knowledge.model import Compound, Cue, Model, Row, Table

# Judgement, tried on parts whose material was left out: 0.05 to 0.30 and 0.03 to 0.10 find about as many of them.
BROADENED = 0.15  # share of a kin's answers that come from 'none of these' in place of its family
WIDER_G_CM3 = 0.05  # added to the family's spread of density, in quadrature
SCEPTICS_SHARE = 0.5  # of the parts, in the sceptic's eyes, are kin
_STEEPEST = 30.0  # limits beyond this let every conclusion stand, or none
_KEY = ("cell", "klass", "family", "filler_kind")


@dataclass(frozen=True, slots=True)
class Doubt:
    """The sceptic's view of one set of answers."""

    strangeness: float  # natural log of the likelihood ratio, kin to base
    state: BeliefState  # over the sceptic's model
    workspace: Workspace  # of that model
    outside: tuple[int, ...]  # per compound of that model: 0 is in the base, 1 is not

    def question(self, limit: float, stake: float) -> Target:
        """Whether the part is in the base, as a decision: let the conclusion stand, or withhold it.

        Both wrong calls together cost `stake` minutes, shared out so that withholding is right exactly when the
        strangeness is above `limit`. What a test may save of that is what it is worth here.
        """
        held = stake / (1.0 + exp(-max(-_STEEPEST, min(_STEEPEST, limit))))
        columns = ((0.0, stake - held), (held, 0.0), (stake, stake))
        return Target("outside", ("in the base", "outside"), self.outside, ("stands", "withheld", DEFER), columns, ())


class Sceptic:
    """The base with its kin. Worked out once for a model, and kept warm between answers."""

    def __init__(self, model: Model) -> None:
        self.known = len(model.compounds) - 1
        self._priors = [compound.prior for compound in model.compounds]
        groups: dict[tuple[str, ...], list[int]] = {}
        for i, compound in enumerate(model.compounds[:-1]):
            groups.setdefault(tuple(getattr(compound, field) for field in _KEY), []).append(i)
        self._members = list(groups.values())
        self._shares = [self._share(members) for members in self._members]
        self._rarity = [sqrt(sum(self._priors[i] for i in members)) for members in self._members]
        self.model = self._with_kin(model)
        self.workspace = Workspace()
        self._outside = (*(0,) * self.known, *(1,) * len(self._members), 1)

    def doubt(
        self,
        observations: Sequence[Observation],
        prior: Sequence[float] | None = None,
        factors: Sequence[float] | None = None,
        marking: Sequence[float] | None = None,
    ) -> Doubt:
        """The sceptic's view; `prior` and `factors` are those of the base, whose kin take their families' mean.

        `marking` are the weights of a marking that was read. It names what is in the base, so on a kin it could only
        be a lie: kin take the least of them.
        """
        start = self._priors if prior is None else list(prior)
        tilts = [p / max(own, SMALLEST_WEIGHT) for p, own in zip(start, self._priors, strict=True)]
        families = range(len(self._members))
        rare = [max(self._rarity[k] * self._mean(tilts, k), SMALLEST_WEIGHT) for k in families]
        scale = sum(start[:-1]) * SCEPTICS_SHARE / (1.0 - SCEPTICS_SHARE) / sum(rare)
        weights = [*start[:-1], *(scale * k for k in rare), start[-1]]
        every = None
        if factors is not None or marking is not None:
            ones = [1.0] * len(start)
            own, read = ones if factors is None else factors, ones if marking is None else marking
            kin = [self._mean(own, k) * min(read) for k in families]
            both = [a * b for a, b in zip(own, read, strict=True)]
            every = [*both[:-1], *kin, both[-1]]
        state = weigh(self.model, observations, weights, every, self.workspace)
        masses = state.belief.compounds
        inside, outside = sum(masses[: self.known]), sum(masses[self.known : -1])
        odds = log(SCEPTICS_SHARE / (1.0 - SCEPTICS_SHARE))
        strangeness = log(max(outside, SMALLEST_WEIGHT) / max(inside, SMALLEST_WEIGHT)) - odds
        return Doubt(strangeness, state, self.workspace, self._outside)

    def _share(self, members: Sequence[int]) -> list[float]:
        total = sum(self._priors[i] for i in members)
        return [self._priors[i] / total if total > 0.0 else 1.0 / len(members) for i in members]

    def _mean(self, values: Sequence[float], group: int) -> float:
        """The mean of a figure of compounds over one family, by the members' own shares."""
        return sum(share * values[i] for share, i in zip(self._shares[group], self._members[group], strict=True))

    def _with_kin(self, model: Model) -> Model:
        kin = tuple(self._kin(model, k) for k in range(len(self._members)))
        cues = {id: self._cue(cue) for id, cue in model.cues.items()}
        compounds = (*model.compounds[:-1], *kin, model.compounds[-1])
        return replace(model, key=f"{model.key}-with-kin", compounds=compounds, cues=cues)

    def _kin(self, model: Model, group: int) -> Compound:
        shares, none = self._shares[group], model.compounds[-1]
        family = [model.compounds[i] for i in self._members[group]]
        like = max(zip(shares, family, strict=True), key=lambda pair: pair[0])[1]
        mean = sum(share * one.density_g_cm3 for share, one in zip(shares, family, strict=True))
        squares = [one.density_sd_g_cm3**2 + (one.density_g_cm3 - mean) ** 2 for one in family]
        return replace(
            like,
            id=f"kin of {like.id}",
            symbol="",
            name=f"another plastic like {like.name}",
            material=none.material,
            prior=self._rarity[group],
            density_g_cm3=mean,
            density_sd_g_cm3=sqrt(sum(map(mul, shares, squares)) + WIDER_G_CM3**2),
            density_from="kin",
        )

    def _cue(self, cue: Cue) -> Cue:
        table = cue.table
        if table is None:
            return cue
        none, rows, row_of = table.rows[table.row_of[-1]], dict.fromkeys(table.rows), list(table.row_of[:-1])
        place = {row: k for k, row in enumerate(rows)}
        for members, shares in zip(self._members, self._shares, strict=True):
            row = _broadened([table.rows[table.row_of[i]] for i in members], shares, none)
            row_of.append(place.setdefault(row, len(place)))
        return replace(cue, table=Table(tuple(place), (*row_of, table.row_of[-1]), table.usual))


def _broadened(rows: Sequence[Row], shares: Sequence[float], none: Row) -> Row:
    if len(set(rows)) == 1:
        mixed: Sequence[float] = rows[0]
    else:
        mixed = [sum(map(mul, shares, column)) for column in zip(*rows, strict=True)]
    return tuple([(1.0 - BROADENED) * m + BROADENED * n for m, n in zip(mixed, none, strict=True)])
