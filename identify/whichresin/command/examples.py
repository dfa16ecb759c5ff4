"""Command lines that show what each command is for: printed by `--help` and held to be understood by the tests."""

EXAMPLES: dict[str, tuple[tuple[str, str], ...]] = {
    "interview": (
        ("interview", "the guided interview, one key an answer"),
        ("interview --plain --allow-burn", "plain lines; burn tests may be proposed, last"),
        ("interview --answers part.yaml", "the result of an answers file, as text"),
        ("interview --answer float_in_water=sinks --answer grind=powder --json", "a result for a script"),
        ("interview --answers part.yaml --page part.html", "and an HTML page of it"),
    ),
    "resume": (
        ("resume", "go on with the open interview, or list them"),
        ("resume 2 --plain", "the second of the list, in plain lines"),
    ),
    "interviews": (("interviews", "the finished ones, newest first"), ("interviews --json", "with every answer")),
    "summary": (
        ("summary 1", "one page of the newest finished interview"),
        ("summary 1 --page part.html", "the same as an HTML page to print or to send"),
        ("summary transcripts/waxy-crate.yaml", "of a transcript"),
    ),
    "plan": (
        ("plan --answers part.yaml", "repair, replace, refer or test more, and the steps"),
        ("plan --interview 1 --damage 'crack 40 mm' --shop 'welder, PP rod'", "of the newest interview"),
        ("plan --answers part.yaml --context 'cold shop, no spare' --json", "one document for a script"),
        ("plan --answers part.yaml --shelf shelf --celsius 18", "with your own products, amounts and times"),
    ),
    "decode": (
        ("decode '>PA66-GF30<'", "a whole marking; quote it, because > means something to the shell"),
        ("decode '>P?66-G?30' --json", "? for a sign that cannot be read"),
        ("decode --batch markings.txt", "one marking a line, JSON Lines out"),
    ),
    "weigh": (("weigh --dry 5.02 --wet 0.62", "grams in air and hanging in water: the density"),),
    "liquid": (
        ("liquid --density 1.10", "how much salt makes a liquid of 1.10"),
        ("liquid --split PP ABS", "a liquid in which the one floats and the other sinks"),
    ),
    "shelf": (("shelf", "what is in date"), ("shelf --answers part.yaml --celsius 18", "what fits this part today")),
    "sheet": (
        ("sheet --answers part.yaml --shelf shelf --size length=150,thickness=3", "the job sheet on the screen"),
        ("sheet --answers part.yaml --out part.html --out part.json", "a page to print, and a file to run and keep"),
    ),
    "run": (
        ("run part.json", "work through a job sheet with its clocks"),
        ("run part.json --status", "what is due, and what lapses when"),
    ),
    "jobs": (
        ("jobs list", "all jobs, newest first"),
        ("jobs add part.json --by A", "keep a job sheet"),
        ("jobs outcome 1 --identification held --repair held", "what became of it"),
    ),
    "failure": (
        ("failure", "the list of patterns"),
        ("failure came off whole", "what that pattern tells"),
    ),
    "check": (
        ("check", "the shipped knowledge"),
        ("check my-shop --watch", "a pack of your own, again at every save"),
    ),
    "help": (
        ("help gate", "a topic"),
        ("help hot_needle", "how a test is done, its answers, what fools it"),
        ("help unknown-cue", "a finding of the check, by its code"),
        ("help topics", "everything that help knows"),
    ),
    "new": (("new cue cut_shine --into my-shop", "a commented starting file"),),
    "words": (("words cues", "the cues by name"), ("words PP", "what one name stands for")),
    "replay": (
        ("replay transcripts", "does everything conclude what it concluded?"),
        ("replay transcripts --knowledge my-shop", "what a pack of your own would change"),
        ("replay transcripts --rewrite", "accept what is concluded now"),
    ),
    "trace": (
        ("trace part.yaml", "every step: rules, evidence, belief"),
        ("trace part.yaml --rule gate-opens", "only where this rule speaks"),
    ),
    "coverage": (("coverage --transcripts transcripts", "what no example and no transcript exercises"),),
    "compare": (("compare shipped my-shop --transcripts transcripts", "what a pack changes, and what that does"),),
    "simulate": (("simulate --interviews 1000 --seed 7", "how far the confidence can be trusted"),),
    "drill": (
        ("drill --level gate --number 10 --seed 7", "gate cards; the same seed gives a class the same cards"),
        ("drill --tray tray.yaml --hands-on --counts counts.json", "plaques before you, answers counted"),
    ),
    "learn": (("learn counts.json --write my-shop", "propose a pack from counted answers"),),
    "config": (("config", "what holds, and from where"), ("config --path", "where the file is looked for")),
    "completion": (
        ('completion bash > ~/.local/share/bash-completion/completions/whichresin', "for bash, once"),
        ('completion fish > ~/.config/fish/completions/whichresin.fish', "for fish, once"),
    ),
}
