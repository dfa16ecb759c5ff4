"""Drills: a class gets the same parts, nobody gains by a dishonest sureness, and what was wasted or risked is said."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from whichresin.belief.sampling import draw_index
from whichresin.knowledge.model import Model
from whichresin.training.drills.attempt import Attempt
from whichresin.training.drills.cards import gate_cards
from whichresin.training.drills.cards import test_card as draw_test_card
from whichresin.training.drills.dialogue import Dialogue, Left
from whichresin.training.drills.judge import Claim, lines_of, points
from whichresin.training.drills.record import BadRecord, Sheet, mixed_up, read_sheet, summary_lines, write_sheet
from whichresin.training.drills.specimen import Specimen, can_be_shown, draw_compound
from whichresin.training.drills.tray import BadTray, read_tray

CLAIM = Claim("thermoplastic", 0.9, "PP", 0.6, "polyolefin")


def _specimen(model: Model, compound: str, seed: str = "a") -> Specimen:
    return Specimen(model, [c.id for c in model.compounds].index(compound), seed)


def test_the_same_seed_gives_the_same_part_in_any_order_of_tests(shipped: Model) -> None:
    """A class is comparable only if everybody has the same part, whatever they test first."""
    cues = [cue for cue in shipped.cues.values() if can_be_shown(cue)]
    place = draw_compound(shipped, "whole", "7:1")
    forth = {cue.id: Specimen(shipped, place, "7:1").show(cue) for cue in cues}
    one = Specimen(shipped, place, "7:1")
    assert {cue.id: one.show(cue) for cue in reversed(cues)} == {cue: forth[cue] for cue in reversed(forth)}
    assert draw_compound(shipped, "whole", "7:1") == place


def test_look_alikes_come_from_hard_pairs(shipped: Model) -> None:
    """The level that drills mix-ups draws other parts than the level that draws all."""
    drawn = {shipped.compounds[draw_compound(shipped, "alike", str(n))].material for n in range(12)}
    assert len(drawn) > 3 and drawn <= set(shipped.materials)


@given(belief=st.floats(0.0, 1.0), said=st.floats(0.0, 1.0))
def test_honest_sureness_scores_best(belief: float, said: float) -> None:
    """A proper score (Brier 1950): nobody expects more points from a sureness other than their belief."""

    def expected(sure: float) -> float:
        return belief * points(sure, True) + (1.0 - belief) * points(sure, False)

    assert expected(said) <= expected(belief) + 1e-9


def test_points_as_promised() -> None:
    """Sure and right 100, "I do not know" 0, sure and wrong -300."""
    assert (points(1.0, True), points(0.5, True), points(0.5, False), points(1.0, False)) == (100, 0, 0, -300)


def test_a_needless_hazard_and_a_wasted_test_are_named(shipped: Model) -> None:
    """Burning a part whose float and look settle it is said, with the safer test."""
    attempt = Attempt(shipped, _specimen(shipped, "PP"))
    attempt.take(shipped.cues["flame"])
    judged = attempt.claim(CLAIM)
    assert [took.cue for took in judged.needless_hazards] == ["flame"]
    assert any("safer test" in line or "no more than it cost" in line for line in lines_of(shipped, judged))
    careful = Attempt(shipped, _specimen(shipped, "PP"))
    careful.take(shipped.cues["look"])
    assert not careful.claim(CLAIM).needless_hazards


def test_a_test_is_done_once(shipped: Model) -> None:
    """Doing the same test again on the same part shows the same and must not count twice."""
    attempt = Attempt(shipped, _specimen(shipped, "ABS"))
    attempt.take(shipped.cues["look"])
    assert "look" not in [cue.id for cue in attempt.choices()]
    with pytest.raises(ValueError, match="done already"):
        attempt.take(shipped.cues["look"])


def test_a_number_of_the_list_keeps_its_test(shipped: Model) -> None:
    """Who reads `3 foam core` must get that test, however many were done since; q leaves as it does elsewhere."""
    attempt = Attempt(shipped, _specimen(shipped, "ABS"))
    order = [cue.id for cue in attempt.choices()]
    said: list[str] = []
    typed = iter(["1", "3", "1", "tests", "q"])
    with pytest.raises(Left):
        Dialogue(shipped, lambda prompt: next(typed), said.append).part(attempt, "Part 1 of 1")
    assert [took.cue for took in attempt.took] == [order[0], order[2]]
    assert any("has been done" in line for line in said)
    shown_again = [line.split()[0] for line in said[-(len(order) - 2) :]]
    assert shown_again == [str(place) for place in range(1, len(order) + 1) if place not in (1, 3)]


def test_harmless_tests_come_first_in_the_list(shipped: Model) -> None:
    """Whoever reads the list from the top meets no hazard before the harmless tests are through."""
    choices = Attempt(shipped, _specimen(shipped, "PP")).choices()
    hazards = [("none", "low", "medium", "high").index(cue.hazard) for cue in choices]
    assert hazards == sorted(hazards)


def test_gate_cards_hold_both_sides_and_know_harm(shipped: Model) -> None:
    """At least half of the cards must not be repaired; leave given to one of these is harmful, asking too."""
    cards = gate_cards(shipped, "3", 10)
    shut = [card for card in cards if card.kind.gate in ("refer", "replace")]
    assert len(cards) == 10 and len(shut) >= 5 and len({card.kind.id for card in cards}) == 10
    assert all(card.harmful("open") and card.harmful("ask") and not card.harmful("refer") for card in shut)
    assert all(card.right(card.kind.gate) for card in cards)


def test_one_test_cards_are_fair(shipped: Model) -> None:
    """The right choice gives the result at least twice as often as any other; the sum comes from the tables."""
    for seed in range(8):
        card = draw_test_card(shipped, str(seed))
        best, second = sorted(card.chances)[-1:-3:-1]
        assert best >= 2 * second and len(set(card.materials)) == 4
        # from the table itself, compound by compound
        value = [v.text for v in card.cue.values].index(card.result)
        assert card.cue.table is not None
        own = [
            (c.prior, card.cue.table.rows[row][value])
            for c, row in zip(shipped.compounds, card.cue.table.row_of, strict=True)
            if c.material == card.speaks_for
        ]
        assert best == pytest.approx(sum(p * q for p, q in own) / sum(p for p, _ in own))


def test_a_class_file_says_who_mixes_up_what(shipped: Model, tmp_path: Path) -> None:
    """Kept attempts add up over several drills, and the summary names the pair and the person."""
    path = tmp_path / "seven.json"
    for compound in ("ABS", "PP"):
        attempt = Attempt(shipped, _specimen(shipped, compound))
        attempt.take(shipped.cues["look"])
        sheet = Sheet("seven", 1)
        sheet.add_part(attempt.claim(CLAIM))
        write_sheet(path, sheet)
    found = read_sheet(path)
    assert len(found.parts) == 2
    assert mixed_up([found]) == {("ABS", "PP"): 1}
    assert any("ABS taken for PP: 1 x (seven)" in line for line in summary_lines([found]))


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"drill": "a", "seed": 1, "gate": 3, "cards": [], "parts": []}'])
def test_a_file_that_holds_no_results_is_refused(text: str, tmp_path: Path) -> None:
    """An old or foreign file is named, never overwritten or half read."""
    path = tmp_path / "x.json"
    path.write_text(text)
    with pytest.raises(BadRecord, match=r"x\.json"):
        read_sheet(path)


def test_a_tray_shows_what_the_teacher_took(shipped: Model, tmp_path: Path) -> None:
    """Results that somebody took from the real plaque stand over drawn ones."""
    path = tmp_path / "tray.yaml"
    path.write_text('plaques:\n  - {id: "1", compound: ABS, proven_by: own, shows: {grind: gummy, look: [waxy]}}\n')
    plaque = read_tray(shipped, path).plaque("1")
    part = Specimen(shipped, plaque.compound, "s", plaque.shows)
    assert part.truth.id == "ABS"
    assert part.show(shipped.cues["grind"]) == "gummy" and part.show(shipped.cues["look"]) == ("waxy",)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("plaques: []", ":1:10: a tray needs a list"),
        ("trai: a\nplaques: []", ":1:1: 'trai' is not a key of a tray; did you mean 'tray'?"),
        ("plaques:\n  - {id: 1, compound: PPP}", ":2:23: there is no compound 'PPP'; did you mean"),
        ("plaques:\n  - {id: 1, compound: PP, shows: {grind: mush}}", ":2:42: 'mush' is not an answer to grind"),
        ("plaques:\n  - {id: 1, compound: PP}\n  - {id: 1, compound: ABS}", ":3:5: plaque '1' stands twice"),
        ("plaques:\n  - {compound: PP}", ":2:5: a plaque needs 'id'"),
        ("", "tray.yaml"),
    ],
)
def test_faults_of_a_tray_name_their_place(text: str, said: str, shipped: Model, tmp_path: Path) -> None:
    """One sentence with file, line and column."""
    path = tmp_path / "tray.yaml"
    path.write_text(text)
    with pytest.raises(BadTray) as caught:
        read_tray(shipped, path)
    assert said in str(caught.value) and "\n" not in str(caught.value)


def test_weights_draw_only_what_has_weight() -> None:
    """A part is never drawn that has no share."""
    draws = iter((0.0, 0.5, 0.999))
    assert [draw_index([0.0, 1.0, 0.0], lambda: next(draws)) for _ in range(3)] == [1, 1, 1]
