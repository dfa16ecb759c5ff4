"""Every fixed word that a person can see in an interview, in one place."""

TITLE = "whichresin: what is this part made of?"
INTRO = "Answer what you can see and test. One key an answer; nothing is asked twice."
PLAIN_INTRO = "Type the key of an answer and press Enter."
KEYS = {
    "d": "don't know",
    "h": "how",
    "w": "why",
    "s": "so far",
    "b": "back",
    "?": "more keys",
    "q": "stop",
}
MORE_KEYS = {
    "c": "change an earlier answer",
    "g": "go to any test by name, and answer it",
    "u": "mark your next answer as unsure",
    "n": "keep a note",
    "i": "I think it is ...: what speaks for it, what against",
    "k": "kept back: questions that are not asked, and why",
    "x": "what if: try an answer without giving it",
    "y": "all reasons, down to the answers",
}
YES = "y"
NO = "n"
PART_QUESTION = "What is the part? Free words; just Enter if you cannot say."
MARKING_QUESTION = "Is there a moulded marking? Type what is left of it; just Enter if there is none."
TEXT_PROMPT = "> "
NUMBER_PROMPT = "Density in g/cm3, or grams in air and in water (5.02 0.62 at 20), or a key: "
WEIGHED = "{density:.3f} g/cm3, uncertainty {uncertainty:.3f}."
SET_PROMPT = "All that apply, such as 14, then Enter; or a key: "
LIQUID_PROMPT = "Density of the liquid in g/cm3, or a key: "
MORE_LIQUIDS_PROMPT = "Another liquid in g/cm3 (Enter: no more): "
FLOATS_PROMPT = "Does it float in it? 1 floats, 2 sinks, 3 hangs in the middle: "
OTHER_LIQUID = "I have another liquid: type its density"
OTHER_TEMPERATURE = "the bench is not at {celsius:g} C: another recipe"
CELSIUS_PROMPT = "Bench temperature in C: "
KEY_PROMPT = "Your key: "
ALLOW = {
    "burn": "Burn tests are off. Allow them for this part, outdoors and with the cautions shown? y or n: ",
    "solvent": "A drop of solvent can mark or crack the part. Allow it for this part? y or n: ",
}
HAZARD_CONSENT = "Read that. Ready, and protected? y to see the test, n to skip it: "
SAFER = "A safer test may do as well: {question} (g to go to it)."
ANSWERS_SO_FAR = "Answers so far"
DERIVED = "What follows from them"
NO_REASONS = "No rule has spoken yet."
HAZARD_SKIPPED = "Skipped. Another test is looked for."
NOT_A_KEY = "No answer has the key {key}. The keys are listed above."
UNSURE_ON = "Your next answer will be marked as unsure."
UNSURE_OFF = "Your next answer will be taken as usual."
WHAT_IF_PROMPT = "What if the answer were (key): "
WHAT_IF = "If it were {answer}"
LEFT = "About {count} more questions, if the answers are the likely ones."
LEFT_ONE = "About one more question, if its answer is the likely one."
LEFT_MANY = "More than a dozen questions may be left."
NOTE_PROMPT = "Note: "
NOTED = "Noted."
SUPPOSE_PROMPT = "You think it is (symbol or name): "
NOT_A_MATERIAL = "No plastic known here is called {text!r}."
NOTHING_KEPT_BACK = "No question is kept back."
RIVAL = "Strongest rival: {name}, {percent}."
REFUTED_BY = "Would speak against it: {text} {because}"
NOTHING_TO_TAKE_BACK = "There is nothing to take back."
TAKEN_BACK = "Taken back: {cue}."
CHANGE_WHICH = "Which answer? Type its number (Enter: none): "
GO_PROMPT = "Which test? A word or two: "
GO_WHICH = "Its number (Enter: none): "
ENDING = "Where this ends"
LEAVING = "Stopped here."
STANDING = "Now"
BECAUSE = "Because"
STILL_OPEN = "Still open"
NEXT_STEPS = "For the repair"
IF_WRONG = "If this is wrong"
WOULD_CHANGE = "What would change this"
TURNS_CLASS = "{answers}: then the class would be {then}, no longer {now}."
TURNS_DECISION = "{answers}: then, for the repair, {then}, no longer {now}."
INSTEAD = "{question} Had it been: {instead}; not: {said}"
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
LEVELS = {"danger": "DANGER", "warning": "WARNING", "care": "CARE"}
