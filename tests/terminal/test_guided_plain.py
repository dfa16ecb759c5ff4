"""The guided interview in plain lines: every power without a terminal, cautions before tests, nothing too wide."""

from __future__ import annotations

import io

import pytest

from whichresin.knowledge.model import Model
from whichresin.session.events import Answered, Event, Noted
from whichresin.session.interview import Interview
from whichresin.session.result import Result
from whichresin.session.state import State
from whichresin.terminal import words
from whichresin.terminal.guided import Guided
from whichresin.terminal.lines import write
from whichresin.terminal.page import answer_keys
from whichresin.terminal.plain import PlainFront, run_plainly


def run(
    model: Model, typed: list[str], columns: int = 80, state: State | None = None
) -> tuple[str, Result, list[Event]]:
    """Everything that an interview wrote when these lines were typed, its last result, and its events."""
    out, seen = io.StringIO(), list[Event]()
    front = PlainFront(io.StringIO("".join(f"{line}\n" for line in typed)), out, width=lambda: columns)
    flow = Guided(Interview(model, state), front, seen.append)
    result = run_plainly(flow.run())
    if flow.left:
        write(flow.last_lines(result, columns), out, False)
    return out.getvalue(), result, seen


def test_the_gate_is_the_first_question_and_the_end_is_reached(shipped: Model) -> None:
    """Part, marking, gate, then tests; the end says class, confidence, reasons and cautions."""
    text, result, _ = run(shipped, ["mud guard", "", "1", "1", "q"])
    assert text.index(words.TITLE) < text.index("1. " + shipped.cues["duty"].question)
    assert words.ENDING in text and "May it be repaired?" in text
    assert result.gate.state == "open"


def test_a_shut_gate_ends_it_at_once(shipped: Model) -> None:
    """A fuel tank is referred or replaced whatever it is made of; no test is asked for."""
    text, result, _ = run(shipped, ["fuel tank", ""])
    assert result.gate.state == "shut"
    assert "NOT on this tool's word" in text
    assert "2. " not in text


@pytest.mark.parametrize("columns", [40, 60, 80, 120])
def test_nothing_is_wider_than_the_screen(shipped: Model, columns: int) -> None:
    """Every line of every screen fits, at 40 columns too."""
    text, _, _ = run(shipped, ["grille", "", "1", "1", "h", "w", "s", "d", "h", "w", "d", "s", "q"], columns)
    lines = [line for line in text.splitlines() if not line.startswith(("> ", words.KEY_PROMPT, words.SET_PROMPT))]
    assert max(map(len, lines)) <= columns


def test_one_minute_is_one_minute(shipped: Model) -> None:
    """`w` says what asking costs, in a sentence that can be read aloud."""
    text, _, _ = run(shipped, ["grille", "", "1", "1", "w", "d", "w", "d", "w", "q"])
    said = " ".join(text.split())
    assert "1 minute it takes" in said and " 1 minutes" not in said


def test_back_undoes_and_asks_again(shipped: Model) -> None:
    """`b` takes the last answer back; the same question is asked again."""
    text, result, _ = run(shipped, ["", "", "5", "q"])
    assert result.gate.state == "shut"
    text, result, _ = run(shipped, ["", "", "1", "b", "1", "q"])
    assert text.count(shipped.cues["duty"].question) >= 2
    assert result.gate.state == "open"


def test_change_replaces_an_earlier_answer(shipped: Model) -> None:
    """`c` lists the answers by number; the new answer takes the place of the old one."""
    _, result, _ = run(shipped, ["", "", "1", "1", "c", "1", "7", "q"])
    assert result.answered["duty"] == "brake_or_steering"
    assert result.gate.state == "shut"


def test_go_to_any_test_by_name(shipped: Model) -> None:
    """A person may volunteer an answer at any time."""
    _, result, _ = run(shipped, ["", "", "1", "1", "g", "float in water", "1", "2", "q"])
    assert result.answered["float_in_water"] == "sinks"


def test_a_hazardous_test_shows_its_cautions_and_needs_a_yes(shipped: Model) -> None:
    """Cautions stand before the consent, the consent before the instructions; no means the test is skipped."""
    cue = shipped.cues["hot_needle"]
    caution = shipped.cautions[cue.cautions[0]].text.split()[:3]
    typed = ["", "", "1", "1", "g", "hot needle", "1", "y", "1", "q"]
    text, result, _ = run(shipped, typed)
    assert text.index(" ".join(caution)) < text.index(words.HAZARD_CONSENT) < text.index("How: ")
    assert "hot_needle" in result.answered
    typed[7:9] = ["n"]
    text, result, _ = run(shipped, typed)
    assert "How: " not in text
    assert "hot_needle" in result.declined


def test_burn_tests_need_leave(shipped: Model) -> None:
    """Going to a burn test asks for leave first; no leave, no test."""
    _, result, _ = run(shipped, ["", "", "1", "1", "g", "what colour is the flame", "1", "n", "q"])
    assert "flame" not in result.answered


def test_a_wrong_key_is_named_and_nothing_is_lost(shipped: Model) -> None:
    """A typo is not an answer."""
    text, result, _ = run(shipped, ["", "", "z", "%", "1", "q"])
    assert "No answer has the key" in text
    assert result.answered == {"duty": "none_of_these"}


def test_dont_know_to_everything_ends_honestly(shipped: Model) -> None:
    """Nothing known: no class is stated, and the end is reached."""
    text, result, _ = run(shipped, ["", "", *["d"] * 60])
    assert result.status == "unknown"
    assert words.LEAVING not in text


def test_the_end_of_the_input_is_a_stop(shipped: Model) -> None:
    """A closed pipe or Ctrl-D leaves with the result so far."""
    text, _, events = run(shipped, ["grille", ""])
    assert words.LEAVING in text and words.ENDING in text
    assert events


def test_control_characters_never_reach_the_terminal(shipped: Model) -> None:
    """Free words are shown escaped."""
    text, _, _ = run(shipped, ["gr\x1b[2Jille\x07", "\x1b]0;x\x07", "q"])
    assert "\x1b" not in text and "\x07" not in text


def test_unsure_notes_and_suppositions(shipped: Model) -> None:
    """`u` marks the next answer as unsure, `n` keeps a note, `i` holds the answers against a supposition."""
    typed = [
        "",
        "",
        "1",
        "1",
        "g",
        "float in water",
        "1",
        "u",
        "2",
        "n",
        "hairline at the clip",
        "i",
        "polypropelene",
        "q",
    ]
    text, _, events = run(shipped, typed)
    answer = next(e for e in events if isinstance(e, Answered) and e.cue == "float_in_water")
    assert answer.sure == "low"
    assert Noted("hairline at the clip") in events
    assert "PP, polypropylene:" in text and "That speaks against PP" in text


def test_a_supposition_that_means_nothing_is_said(shipped: Model) -> None:
    """No material of that name: a plain sentence, and the question stands."""
    text, _, _ = run(shipped, ["", "", "i", "xyzzy", "1", "q"])
    assert "No plastic known here is called 'xyzzy'" in text


def test_what_keeps_a_question_back_can_be_asked(shipped: Model) -> None:
    """`k` names the rule or the missing leave."""
    text, _, _ = run(shipped, ["", "", "k", "", "1", "q"])
    assert "Burn tests are off for this part" in text


def test_the_rival_and_the_refuter_are_shown(shipped: Model) -> None:
    """Nobody should have to take a verdict on trust."""
    text, result, _ = run(shipped, ["", "", "1", "1", "g", "float in water", "1", "1", "q"])
    assert result.rival is not None and result.refuter is not None
    assert "Strongest rival" in text and "Would speak against it" in text


def test_what_if_shows_and_commits_nothing(shipped: Model) -> None:
    """`x` and a key: where the answer would lead; the question stands."""
    text, result, events = run(shipped, ["", "", "x", "5", "1", "q"])
    assert "If it were fuel tank" in text
    assert result.answered["duty"] == "none_of_these"
    assert sum(isinstance(e, Answered) and e.cue == "duty" for e in events) == 1


def test_so_far_says_how_many_questions_may_be_left(shipped: Model) -> None:
    """An interview has an end in sight."""
    text, _, _ = run(shipped, ["", "", "1", "1", "s", "q"])
    assert "more question" in text or "questions may be left" in text


def test_all_reasons_are_one_key_away(shipped: Model) -> None:
    """`y` shows the engine's tree: each conclusion, its rule, and the answers it rests on."""
    text, _, _ = run(shipped, ["", "", "1", "1", "g", "float in water", "1", "2", "y", "q"])
    assert "[sinks-so-heavier-than-water" in text and "(answered)" in text


def test_a_safer_test_is_named_before_a_hazardous_one(shipped: Model) -> None:
    """Going to the needle while a look would do as well: the tool says so before it asks for consent."""
    text, _, _ = run(shipped, ["", "", "1", "1", "g", "hot needle", "1", "n", "q"])
    assert text.index("A safer test may do as well") < text.index(words.HAZARD_CONSENT)


def test_so_far_lists_answers_and_what_follows(shipped: Model) -> None:
    """Answers in plain words, derived facts with their reason, cautions that apply."""
    text, _, _ = run(shipped, ["", "", "1", "1", "g", "float in water", "1", "2", "s", "q"])
    assert words.ANSWERS_SO_FAR in text and words.DERIVED in text


def test_no_answer_key_is_also_a_command(shipped: Model) -> None:
    """One key, one meaning, for the cue with the most answers too."""
    for cue in shipped.cues.values():
        keys = answer_keys(cue)
        assert len(keys) == len(cue.values)
        assert keys.keys().isdisjoint({*words.KEYS, *words.MORE_KEYS})


def test_more_keys_are_listed_on_request(shipped: Model) -> None:
    """`?` lists the keys that are needed less often."""
    text, _, _ = run(shipped, ["", "", "?", "1", "q"])
    assert "how sure you are of your next answer" in text


def test_two_weights_are_turned_into_a_density(shipped: Model) -> None:
    """5.02 g dry and 0.62 g hanging in water: 5.02 / 4.40 x 0.9975 = 1.138 g/cm3 (ISO 1183-1 method A)."""
    text, result, events = run(shipped, ["", "", "1", "1", "g", "density of a clean chip", "1", "5.02 0.62", "q"])
    answer = next(e for e in events if isinstance(e, Answered) and e.cue == "density_measured")
    assert answer.value == pytest.approx(1.138, abs=0.001) and answer.uncertainty is not None
    assert "1.138 g/cm3" in text
    assert result.answered["density_measured"] == answer.value


def test_weights_that_cannot_be_are_said(shipped: Model) -> None:
    """Heavier under water than dry: one sentence, and the question stands."""
    _, result, _ = run(shipped, ["", "", "1", "1", "g", "density of a clean chip", "1", "1.0 2.0", "q"])
    assert "density_measured" not in result.answered


def test_two_near_readings_of_the_part_are_asked_about(shipped: Model) -> None:
    """'steering rack boot': the safe reading first; a key says which; what was typed stays."""
    text, result, seen = run(shipped, ["steering rack boot", "x", "2", "", "1", "q"])
    assert "Until you say, it counts as steering or pedal part." in text
    assert "No answer has the key 'x'" in text and "Understood as: bellows or boot." in text
    assert seen[0] == Answered("part", "steering rack boot = bellows or boot")
    assert result.gate.state == "open"


def test_who_does_not_know_which_part_is_meant_keeps_the_safe_reading(shipped: Model) -> None:
    """Enter alone: the steering part counts, and nothing more is asked."""
    _, result, seen = run(shipped, ["steering rack boot", "", ""])
    assert seen[0] == Answered("part", "steering rack boot")
    assert (result.gate.state, result.gate.decision) == ("shut", "refer")


def test_words_that_mean_no_part_lead_to_the_gate_question(shipped: Model) -> None:
    """Said to be unknown, or something else: what it keeps safe is asked before anything is concluded."""
    for typed in (["kubersnack"], ["steering rack boot", "3"]):
        text, result, _ = run(shipped, [*typed, "", "q"])
        assert "No kind of part known here" in text and shipped.cues["duty"].question in text
        assert result.gate.state == "not_known"
