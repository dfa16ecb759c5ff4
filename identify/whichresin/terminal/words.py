"""Every fixed word that a person can see in an interview, in one place."""

NAME = "whichresin"
TITLE = "whichresin: what is this part made of?"
INTRO = "Answer what you can see and test. One key an answer; nothing is asked twice."
KEYS = {
    "d": "don't know",
    "p": "later",
    "h": "how",
    "w": "why",
    "s": "so far",
    "b": "back",
    "?": "more",
    "q": "stop",
}
MORE_KEYS = {
    "p": "put this question off: it is asked again later",
    "c": "change an earlier answer in place",
    "r": "go back several answers at once",
    "g": "go to any test by name, and answer it",
    "m": "type a moulded marking",
    "t": "type a density, two weights, or a weight and a volume",
    "u": "how sure you are of your next answer: unsure, very sure, as usual",
    "n": "keep a note",
    "i": "I think it is ...: what speaks for it, what against",
    "k": "why is a question not asked? What keeps it back",
    "x": "what if: try an answer without giving it",
    "y": "all reasons, down to the answers",
    "Ctrl-C": "save and leave; 'whichresin resume' goes on",
}
ENDING_KEYS = {
    "Enter": "finish",
    "b": "back",
    "c": "change an answer",
    "g": "another test",
    "i": "I think it is",
    "y": "all reasons",
    "l": "leave it open",
}
CONSENT_KEYS = {"y": "yes, show the test", "n": "no, not this test", "p": "later", "q": "stop"}
SAFER_KEY = {"a": "the safer test instead"}
YES = "y"
NO = "n"
PART_QUESTION = "What is the part? Free words; just Enter if you cannot say."
MARKING_QUESTION = "Is there a moulded marking? Type what is left of it; just Enter if there is none."
TYPE_THE_MARKING = "Type what you can read of it, such as >PP-T?20<; a ? for each letter that is lost."
TEXT_PROMPT = "> "
NUMBER_PROMPT = "g/cm3, or grams in air and in water (5.02 0.62), or 5.02 g 4.8 ml, or a key: "
WEIGHED = "{density:.3f} g/cm3, uncertainty {uncertainty:.3f}."
ROUGH = " That is rough, so it counts for little; a bigger piece, a finer jar or a weighing in water tells more."
SET_PROMPT = "All that apply, such as 14, then Enter; or a key: "
LIQUID_PROMPT = "Density of the liquid in g/cm3, or a key: "
READ_PROMPT = "Space: read on. Any other key: back "
NOTHING_MARKED = "Nothing is marked. Press the keys of what you see, or d if you do not know."
MARKS_PROMPT = "Press all that apply, then Enter: "
HAZARDS = "Take care"
GATE_FIRST = "It comes first: some parts are not ours to mend, whatever they are made of."
NOT_WEIGHED = "This test was not weighed against the others; its answer counts like any other."
WHY_LINE = "What it tells: {outcomes}."
WHY_OUTCOME = "{text}: then {leader} {percent}"
QUESTION_NUMBER = "question {number}"
BEFORE_TEST = "Before this test: {question}"
MORE_LIQUIDS_PROMPT = "Another liquid in g/cm3 (Enter: no more): "
FLOATS_PROMPT = "Does it float in it? 1 floats, 2 sinks, 3 hangs in the middle: "
OTHER_LIQUID = "I have another liquid: type its density"
OTHER_TEMPERATURE = "the bench is not at {celsius:g} C: another recipe"
NO_LIQUID_AT = "No float liquid worth making is known at {celsius:g} C: on with the other questions."
CELSIUS_PROMPT = "Bench temperature in C: "
KEY_PROMPT = "Your key: "
ALLOW = {
    "burn": "Burn tests are off. Allow them for this part, outdoors and with the cautions shown?",
    "solvent": "A drop of solvent can mark or crack the part. Allow it for this part?",
}
YES_NO_PROMPT = "y or n: "
SO_FAR = "So far"
ALL_REASONS = "All reasons, down to the answers"
MORE_KEYS_PROMPT = "A key of the list, or any other: back "
MORE_KEYS_TITLE = "More keys"
SUPPOSED = "You think it is"
NOT_OURS = "Not ours to mend"
UNDERSTOOD = {
    "clear": "Understood as: {name}.",
    "unsure": "Perhaps: {name}. Not sure, so the safe reading counts.",
}
NOT_KNOWN_WORDS = " Not known here: {words}."
NOT_UNDERSTOOD = "No kind of part known here. No matter: say what it keeps safe, and the questions settle the rest."
DO_YOU_MEAN = "Do you mean ...? Until you say, it counts as {name}."
DO_YOU_MEAN_PROMPT = "Your key (Enter: don't know): "
ANSWER_NOW = "Your answer so far: {answer}"
MARKING_PROMPT = "What is left of the marking: "
MEASURED_PROMPT = "g/cm3, or grams in air and in water (5.02 0.62 at 20), or 5.02 g 4.8 ml: "
GO_ON_KEY = {"o": "on with the questions"}
HAZARD_CONSENT = "Ready, and protected? y or n: "
SAFER = "A safer test may do as well: {question} (a goes to it)."
ANSWERS_SO_FAR = "Answers so far"
DERIVED = "What follows from them"
NO_REASONS = "No rule has spoken yet."
HAZARD_SKIPPED = "Left out. Another test is looked for."
PUT_OFF = "Put off. It is asked again when the others are through."
NOT_PUT_OFF = "It has an answer already, which stays."
NOT_A_KEY = "No answer has the key {key}. The keys are listed above."
SURENESS = {
    "low": "Your next answer will be marked as unsure.",
    "high": "Your next answer will be marked as very sure.",
    "medium": "Your next answer will be taken as usual.",
}
SURENESS_MARK = {"low": "[unsure] ", "high": "[very sure] ", "medium": ""}
WHAT_IF_PROMPT = "What if the answer were (key): "
WHAT_IF = "If it were {answer}"
LEFT = "About {count} more questions, if the answers are the likely ones."
LEFT_ONE = "About one more question, if its answer is the likely one."
LEFT_MANY = "More than a dozen questions may be left."
LEFT_SHORT = "about {count} more"
LEFT_SHORT_NONE = "likely the last"
LEFT_SHORT_MANY = "more than a dozen more"
NOTE_PROMPT = "Note: "
NOTED = "Noted."
SUPPOSE_PROMPT = "You think it is (symbol or name): "
NOT_A_MATERIAL = "No plastic known here is called {text!r}."
NOTHING_KEPT_BACK = "No question is kept back."
WHY_NOT_PROMPT = "Which test are you missing? A word or two (Enter: all): "
WHY_NOT_TITLE = "Questions that are not asked now"
WHY_NOT = {
    "answered": "It has been answered.",
    "declined": "You did not know. Go to it with g if that has changed.",
    "put_off": "You put it off. It is asked again when the others are through.",
    "asked": "It is the question that is asked now.",
    "gate": "First comes what the part keeps safe or holds back.",
    "shut": "The part is not ours to mend, whatever it is made of; so no test is asked for.",
    "settled": "Enough is known without it: no answer of it would change what is done.",
    "told": "It is never proposed, because its answers cannot be foreseen. Give it with g.",
}
WHY_NOT_WORTH = "It saves {worth:.1f} minutes of wrong work, after the {minutes} it takes: place {place} of {of}."
WHY_NOT_NO_WORTH = "It takes {minutes}, and would cost more than it saves: {worth:+.1f} minutes."
BY_RULE = "{because} (rule {rule})"
OTHERS_BY_WORTH = "Could be asked, but are worth less now:"
LEARNED = "Learned"
LEARNED_STEP = {
    "none": "hardly anything moves",
    "small": "a small step",
    "clear": "a clear step",
    "big": "a big step",
}
FROM_TO = "{name} {before} to {after}"
FOLLOWS = "Follows: {text} (rule {rule})"
NO_LONGER = "No longer: {text}"
OTHERS = "others"
AGAINST_IT = "would refute it"
RIVAL_SHORT = "rival"
CAUTIONS_SHORT = "Take care"
ANSWERS_SHORT = "Your answers"
FOLLOWS_SHORT = "What follows"
HOW = "How"
WEAR = "Wear"
FOOLED_BY = "Fooled by"
MORE = "{count} more: {key}"
MORE_HERE = "{count} more: space"
FROM_START = "from the start again: space"
READ_ON = "Read on first: space."
PASTED = "{count} characters came at once. That is no answer; press one key."
CANNOT_DRAW = "The full screen does not work here ({reason}); the interview goes on in plain lines."
RIVAL = "Strongest rival: {name}, {percent}."
REFUTED_BY = "Would speak against it: {text} {because}"
NOTHING_TO_TAKE_BACK = "There is nothing to take back."
TAKEN_BACK = "Taken back: {cue}"
CHANGE_TITLE = "Your answers"
CHANGE_WHICH = "Which answer? Type its number (Enter: none): "
BACK_WHICH = "Back to which? Its answer and all after it go (Enter: none): "
GO_TITLE = "Tests that could be meant"
GO_NONE = "No test here is called anything like {text!r}."
GO_PROMPT = "Which test? A word or two: "
GO_WHICH = "Its number (Enter: none): "
ENDING = "Where this ends"
ENDING_PROMPT = "Enter to finish, or a key: "
CLASS = "Class"
POLYMER = "Polymer"
FILLED = "Filled"
SURE = "How sure"
NOTHING_OPEN = "Nothing that would change the repair."
PLAN = "What to do, with reasons, steps and cautions: whichresin plan --interview {number} --damage 'crack 40 mm'"
LEAVING = "Stopped here."
STANDING = "Now"
BECAUSE = "Because"
STILL_OPEN = "Still open"
NEXT_STEPS = "For the repair"
IF_WRONG = "If this is wrong"
WOULD_CHANGE = "What would change this"
TURNS_CLASS = "{answers}: the class would be {then}, not {now}."
TURNS_DECISION = "{answers}: for the repair that would mean {then}, not {now}."
INSTEAD = '{question} "{instead}" in place of "{said}"'
STEADY = "No test left would move it by more than {percent}."
TURNS_NOT = "No three answers, had they been otherwise, would turn it from {now}."
WORTH_REPEATING = "Most worth repeating: {question} It saves about {minutes:.0f} minutes of wrong work."
WOULD_TELL = "Would tell more: {question} {moves}."
MOVE = "{text} ({percent}): {leader} {leads}"
CAUTIONS = "Before you go on"
SITS_BADLY = "These answers sit badly together"
GATE_SHUT = "May it be repaired? NOT on this tool's word: {decision}. {reason}"
GATE_UNKNOWN = "May it be repaired? NOT KNOWN: until it is, the answer counts as no. {reason}"
GATE_OPEN = "May it be repaired? Nothing said so far forbids it. {reason}"
DECISIONS = {
    "refer": "follow the maker's procedure, local codes and licensed practice",
    "replace": "replace it, or follow the maker's procedure",
    "": "find out first",
}
STATUS = {
    "concluded": "Settled for the repair.",
    "open": "Not settled yet.",
    "contradiction": "The answers contradict one another.",
    "unknown": "Not one of the plastics known here, or not enough seen.",
}
STATUS_SHUT = "Not ours to mend, whatever it is made of."
STATUS_WITHHELD = "It fits none of the plastics known here well enough."
CLASS_LEFT_OPEN = "left open"
NEAREST = "Nearest of those known, and still not near enough to work by:"
GROUP_LEFT_OPEN = "left open. Do not weld it, glue it or wipe it with solvent as if it were one of those known here."
WITHHELD_NEXT = (
    "Look for a marking inside, repeat the answer you are least sure of, or ask the supplier or the maker of the part."
)
STATUS_LIKELY = "The best that these answers give, and not sure."
LEVELS = {"danger": "DANGER", "warning": "WARNING", "care": "CARE"}
