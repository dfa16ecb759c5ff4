"""A whole but small knowledge in a folder, of which a test changes one thing."""

from __future__ import annotations

import shutil
from pathlib import Path

from whichresin.knowledge.compile import Compiled, compile_files
from whichresin.knowledge.layers import layers_of
from whichresin.knowledge.load import Loaded, load
from whichresin.knowledge.paths import shipped
from whichresin.knowledge.problems import Problem
from whichresin.training.check import check

FILES = {
    "knowledge/materials/fillers/none.yaml": """\
id: none
name: nothing mixed in
kind: none
source: common practice
""",
    "knowledge/materials/fillers/td.yaml": """\
id: TD
name: talc
kind: mineral
density_g_cm3: {low: 2.7, high: 2.8, source: BOOK}
source: BOOK
""",
    "knowledge/materials/fillers/gf.yaml": """\
id: GF
name: glass fibre
kind: fibre
density_g_cm3: {low: 2.54, high: 2.60, source: BOOK}
source: BOOK
""",
    "knowledge/materials/polymers/pp.yaml": """\
id: PP
symbol: PP
name: polypropylene
class: thermoplastic
family: polyolefin
cell: polyolefin
share: 20
share_source: from memory
density_g_cm3: {low: 0.895, high: 0.915, source: BOOK}
melt_c: {low: 160, high: 176, source: BOOK}
weldable: yes
synonyms: [polyprop]
source: [BOOK]
compounds:
  - {filler: none, share: 60, source: common practice}
  - {filler: TD, percent: 20, share: 30, density_g_cm3: {low: 1.03, high: 1.06}, source: BOOK}
  - {filler: GF, percent: 30, share: 10, retarded_share: 0.2, source: common practice}
""",
    "knowledge/materials/polymers/abs.yaml": """\
id: ABS
symbol: ABS
name: acrylonitrile butadiene styrene
class: thermoplastic
family: styrenic
cell: glassy
share: 10
share_source: from memory
density_g_cm3: {low: 1.03, high: 1.07, source: BOOK}
weldable: yes
source: BOOK
compounds:
  - {filler: none, share: 1, source: common practice}
""",
    "knowledge/materials/polymers/up-gf-smc.yaml": """\
id: UP-GF SMC
symbol: UP-GF
name: sheet moulding compound
class: thermoset
family: unsaturated-polyester
cell: laminate
share: 10
share_source: from memory
density_g_cm3: {low: 1.65, high: 1.95, source: BOOK}
weldable: no
source: BOOK
compounds:
  - {filler: GF, percent: 25, integral: yes, share: 1, source: BOOK}
""",
    "knowledge/cues/grind.yaml": """\
id: grind
kind: choice
topic: bench
question: What comes off under a slow coarse disc?
how: Hidden edge, coarse disc, light touch, two seconds.
values:
  - {id: smears, text: drags and melts}
  - {id: powder, text: dry fine dust}
minutes: 2
marks_part: yes
tools: [hand grinder]
hazard: low
source: BOOK
expect:
  - {for: {}, seen: {smears: sometimes, powder: sometimes}, source: from memory}
  - {for: {class: thermoplastic}, seen: {smears: usually, powder: seldom}, source: BOOK}
  - {for: {class: thermoplastic, filler_kind: [mineral, fibre]}, seen: {smears: often, powder: often}, source: BOOK}
fooled_by: A dirty piece.
""",
    "knowledge/cues/look.yaml": """\
id: look
kind: set
topic: bench
question: What do you see?
how: In daylight, at a clean edge.
values:
  - {id: waxy, text: waxy shine}
  - {id: foam_pores, text: pores in the break}
minutes: 1
hazard: none
source: BOOK
expect:
  - {for: {}, seen: {foam_pores: hardly_ever}, source: from memory}
  - {for: {family: polyolefin}, seen: {waxy: usually}, source: BOOK}
fooled_by: A dirty piece.
""",
    "knowledge/cues/float_in_water.yaml": """\
id: float_in_water
kind: choice
topic: bench
group: density
physics: float_water
question: Does a clean chip float in water?
how: Push it under, rub off bubbles, let go.
values:
  - {id: floats, text: comes up}
  - {id: sinks, text: goes down}
  - {id: neutral, text: hangs}
minutes: 3
hazard: none
source: BOOK
fooled_by: A dirty piece.
""",
    "knowledge/cues/density_measured.yaml": """\
id: density_measured
kind: number
topic: bench
group: density
physics: density
question: What is its density?
how: Weigh it dry and in water.
minutes: 5
hazard: none
source: BOOK
fooled_by: A dirty piece.
""",
    "knowledge/cues/duty.yaml": """\
id: duty
kind: choice
topic: gate
question: What does it guard?
how: Ask the owner.
values:
  - {id: none_of_these, text: nothing}
  - {id: fuel, text: fuel}
minutes: 1
hazard: none
source: common practice
""",
    "knowledge/cues/drips.yaml": """\
id: drips
kind: choice
topic: burn
group: burn
question: Does it drip?
how: Hold a splinter over sand.
values:
  - {id: yes, text: it drips}
  - {id: no, text: it does not}
minutes: 4
hazard: high
opt_in: burn
cautions: [burn-last-resort]
source: BOOK
expect:
  - {for: {}, seen: {no: usually, yes: seldom}, source: BOOK}
  - {for: {class: thermoplastic}, seen: {yes: usually, no: seldom}, source: BOOK}
wear: gloves
fooled_by: A dirty piece.
""",
    "knowledge/parts/covers.yaml": """\
parts:
  - id: cover
    name: cover
    words: [cover, lid]
    gate: open
    tilt: [{for: {polymer: PP}, times: 5}]
    source: common practice
  - id: fuel-can
    name: fuel can
    words: [can]
    gate: replace
    gate_reason: It holds fuel.
    source: common practice
""",
    "knowledge/repair/cells.yaml": """\
cells:
  - {id: polyolefin, name: polyolefin, means: Needs a promoter., source: BOOK}
  - {id: glassy, name: glassy, means: No solvent., source: BOOK}
  - {id: laminate, name: laminate, means: Laminate it., source: BOOK}
""",
    "knowledge/repair/losses.yaml": """\
actions: [polyolefin, glassy, laminate, defer]
table:
  polyolefin: {glassy: 60, laminate: 60, defer: 20}
  glassy: {polyolefin: 60, laminate: 60, defer: 20}
  laminate: {polyolefin: 60, glassy: 60, defer: 20}
  none: {polyolefin: 60, glassy: 60, laminate: 60, defer: 0}
splits: [{shop: welder, by: fibre, miss: 90, false_alarm: 10}]
polymer_wrong: 30
polymer_defer: 10
settled_below: 3
hazard_minutes: {none: 0, low: 1, medium: 5, high: 30}
marks_part_minutes: 3
source: from memory
""",
    "knowledge/rules/water.yaml": """\
about: what water says
rules:
  - id: floats-so-light
    when: {all: [{float_in_water: floats}], none: [{look: foam_pores}]}
    conclude: [{fact: density_band, value: below_water}]
    because: A solid piece that floats is lighter than water.
    source: BOOK
    examples: [{given: {float_in_water: floats}, expect: [{fact: density_band, value: below_water}]}]
    near_misses: [{given: {float_in_water: floats, look: [foam_pores]}, because: gas cells carry it}]
  - id: fuel-shuts
    when: {all: [{duty: fuel}]}
    conclude: [{fact: gate, value: shut}]
    because: Fuel.
    source: common practice
    examples: [{given: {duty: fuel}, expect: [{fact: gate, value: shut}]}]
    near_misses: [{given: {duty: none_of_these}, because: it guards nothing}]
""",
    "knowledge/rules/sides.yaml": """\
rules:
  - id: sinks-so-that-side
    when: {all: [{float_in_water: sinks}]}
    conclude: [{fact: density_band, value: above_water}, {fact: side, value: b}]
    because: What sinks is heavier than water.
    source: BOOK
    examples: [{given: {float_in_water: sinks}, expect: [{fact: side, value: b}]}]
    near_misses: [{given: {float_in_water: floats}, because: it is lighter}]
  - id: waxy-so-this-side
    when: {all: [{look: waxy}]}
    conclude: [{fact: side, value: a}]
    because: Wax is on this side.
    source: BOOK
    examples: [{given: {look: waxy}, expect: [{fact: side, value: a}]}]
    near_misses: [{given: {look: foam_pores}, because: foam is on neither}]
""",
    "knowledge/rules/gate.yaml": """\
rules:
  - id: guards-nothing-so-open
    when: {all: [{duty: none_of_these}], none: [{part_gate: [refer, replace]}, {known: duty_said}]}
    conclude: [{fact: gate, value: open}]
    because: Somebody looked and found nothing.
    source: common practice
    examples: [{given: {duty: none_of_these}, expect: [{fact: gate, value: open}]}]
    near_misses: [{given: {duty: none_of_these, part_gate: refer}, because: the kind is gated}]
""",
    "knowledge/repair/processes/glue.yaml": """\
id: glue
name: glue it
process: two_part_adhesive
decision: repair
because: Glue holds.
treat_as: [polyolefin, glassy]
when: {all: [{gate: open}], none: [{damage: crushed}]}
source: common practice
needs: [{text: glue, item: glue}]
must_not: [{text: Do not weld it., because: It burns., source: BOOK}]
steps:
  - id: sand
    stage: Prepare
    do: Abrade the back.
    why: For a key.
    minutes: [5, 10]
    work: [sand]
    cautions: [dust]
    hold: No shine left?
    record: [grit]
    source: common practice
  - id: spread
    stage: Bond
    do: Spread it.
    why: It wets.
    work: [look]
    timer: work
    source: BOOK
""",
    "knowledge/repair/processes/melt.yaml": """\
id: melt
name: weld it
process: fusion_weld
decision: repair
because: It melts.
treat_as: [polyolefin]
one_unfilled_plastic: yes
when: {all: [{gate: open}, {shop: welder}], none: [{possible.filler_kind: fibre}]}
source: BOOK
ask_first: [{cue: float_in_water, because: It may be filled., when: {all: [{damage: crack}]}}]
steps:
  - use: glue/sand
""",
    "knowledge/repair/processes/new.yaml": """\
id: new
name: replace it
process: none
decision: replace
because: It is cheap.
source: common practice
steps:
  - {id: order, stage: Order, do: Order it., why: It is broken., work: [look], source: common practice}
""",
    "knowledge/repair/decisions.yaml": """\
options:
  - {process: glue, outside: 200, loses: [{for: {}, minutes: 60}, {for: {cell: laminate}, minutes: 90}]}
  - {process: melt, outside: 300, loses: [{for: {}, minutes: 40}]}
  - {process: new, outside: 100, loses: [{for: {}, minutes: 100}]}
adds: [{to: new, when: {all: [{damage: crushed}]}, minutes: -50, because: It is crushed.}]
flips: [{tell: {damage: crushed}, text: it were crushed}]
must_not: [{text: Do not burn it., because: It smokes., source: BOOK}]
weld_from: 0.95
matters_from: 0.05
ask_if_it_saves_minutes: 5
source: from memory
""",
    "knowledge/repair/vocabulary.yaml": """\
groups:
  - name: damage
    reads: [damage]
    values: [{id: crack, text: a crack, words: [crack]}, {id: crushed, text: crushed, words: [crushed]}]
  - name: duty_said
    reads: [context]
    negated: yes
    values: [{id: fuel, text: fuel, words: [fuel]}]
  - name: shop
    reads: [shop]
    values:
      - {id: glue, text: glue, words: [glue]}
      - {id: rod, text: rod, words: [rod]}
      - {id: welder, text: welder, words: [welder]}
lengths_mm: {mm: 1, cm: 10}
longest_mm: 1000
sizes_mm: {small: 0, large: 100}
denials: [no]
fillers: [a, the]
source: common practice
""",
    "knowledge/repair/work.yaml": """\
work:
  - {id: look, name: looking, words: [look], hazardous: no, source: common practice}
  - {id: sand, name: abrading, words: [abrade], hazardous: yes, source: common practice}
stuff: [{word: paint, when: {all: [{damage: crack}]}}]
source: common practice
""",
    "shared/sources.yaml": "sources: {BOOK: a handbook}\n",
    "shared/words.yaml": """\
how_often:
  always: 0.97
  nearly_always: 0.93
  usually: 0.80
  often: 0.55
  sometimes: 0.25
  seldom: 0.08
  hardly_ever: 0.02
  never_seen: 0.004
how_sure:
  - {at_least: 0.5, word: likely}
  - {at_least: 0.0, word: unlikely}
source: from memory
""",
    "shared/observer.yaml": """\
skills:
  - {id: careful, share: 0.5, slip: 0.02, muddled: 0.02}
  - {id: hasty, share: 0.5, slip: 0.16, muddled: 0.15}
sure: {high: 0.6, medium: 1.0, low: 3.0}
doubt: {slight: 0.25, strong: 0.75}
none_of_these: 0.02
slip_follows_usual: 0.5
likelihood_counts: 0.9
strange_stake_minutes: 60
strange_withholds: 1.0
neutral_within_g_cm3: 0.004
liquid_uncertainty_g_cm3: 0.004
water_uncertainty_g_cm3: 0.0015
density_uncertainty_g_cm3: 0.015
source: from memory
""",
    "shared/facts.yaml": """\
facts:
  - {name: side, values: {a: this side, b: that side}}
  - {name: density_band, values: {below_water: lighter than water, above_water: heavier}}
  - {name: gate, values: {open: open, shut: shut, not_known: not known}}
""",
    "shared/cautions.yaml": """\
cautions:
  - {id: burn-last-resort, level: danger, hazard: burns, text: Burn last., tests: [burn], source: BOOK}
  - {id: dust, level: warning, hazard: lung, text: Wear a mask., processes: [sand], materials: [any], source: BOOK}
""",
}


class Small:
    """The folder, and what the loader and the check say of it."""

    def __init__(self, root: Path) -> None:
        self.root = root
        for name, text in FILES.items():
            self.write(name, text)
        shutil.copy(Path(shipped().shared) / "lists.yaml", root / "shared")  # the code gives these words their effect

    def write(self, name: str, text: str | bytes) -> Path:
        """Write one file under the root."""
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode() if isinstance(text, str) else text)
        return path

    def change(self, name: str, old: str, new: str) -> None:
        """Replace a text that stands once in a file."""
        text = (self.root / name).read_text()
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        self.write(name, text.replace(old, new))

    @property
    def knowledge(self) -> str:
        return str(self.root / "knowledge")

    @property
    def shared(self) -> str:
        return str(self.root / "shared")

    def load(self, *packs: str, use_cache: bool = False) -> Loaded:
        return load(packs, knowledge=self.knowledge, shared=self.shared, use_cache=use_cache)

    def compile(self) -> Compiled:
        return compile_files(layers_of(self.knowledge, self.shared).files, "key", {})

    def lines(self, *paths: str) -> list[str]:
        """The check's lines, with the root taken off the file names."""
        problems: tuple[Problem, ...] = check(list(paths), knowledge=self.knowledge, shared=self.shared).problems
        return [str(problem).replace(f"{self.root}/", "") for problem in problems]
