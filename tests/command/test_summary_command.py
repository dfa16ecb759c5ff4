"""`whichresin summary` and the pages and transcripts that an interview leaves, driven as a person would."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

TRANSCRIPTS = Path(__file__).parents[2] / "transcripts"


def run(folder: Path, *args: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "whichresin", *args],
        input=typed,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
        env={**os.environ, "WHICHRESIN_DATA": str(folder)},
    )


def test_a_finished_interview_is_kept_as_a_transcript_and_a_page(tmp_path: Path) -> None:
    """Saved on ending, listed, summed up by number and by name, replayed to the same bytes."""
    done = run(tmp_path, "interview", "--plain", typed="crate\n\n1\nn\nhairline crack\nb\n1\nq\n")
    assert done.returncode == 0 and "whichresin summary" in done.stdout
    (saved,) = tmp_path.glob("*.yaml")
    text = saved.read_text(encoding="utf-8")
    assert "taken_back: duty" in text and "noted: hairline crack" in text and "then: {class: " in text
    replayed = run(tmp_path, "replay", str(saved))
    assert (replayed.returncode, replayed.stdout) == (0, f"{saved.name}: the same\n")
    assert "  1  " in run(tmp_path, "interviews").stdout
    page = tmp_path / "page.html"
    for name in ("1", saved.stem):
        done = run(tmp_path, "summary", name)
        assert done.returncode == 0 and "hairline crack" in done.stdout and "taken back" in done.stdout
    done = run(tmp_path, "summary", "1", "--page", str(page))
    assert done.returncode == 0 and "hairline crack" in page.read_text(encoding="utf-8")


def test_pages_and_records_of_an_answers_file(tmp_path: Path) -> None:
    """Without a dialogue: the page beside the result, and a transcript that replays; nothing is written over."""
    answers, record, page = (tmp_path / name for name in ("a.yaml", "r.yaml", "p.html"))
    answers.write_text("part: crate\nfloat_in_water: floats\nflame: blue\nnail: unknown\nallow_burn: yes\n")
    done = run(
        tmp_path, "interview", "--answers", str(answers), "--json", "--record", str(record), "--page", str(page)
    )
    assert done.returncode == 0, done.stderr
    result = json.loads(done.stdout)
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert run(tmp_path, "replay", str(record)).returncode == 0
    summed = json.loads(run(tmp_path, "summary", str(record), "--json").stdout)
    assert {**summed, "would_change": 0} == {**result, "would_change": 0}
    again = run(tmp_path, "interview", "--answers", str(answers), "--record", str(record))
    assert again.returncode == 2 and "exists already" in again.stderr


def test_a_changed_knowledge_shows_in_words(tmp_path: Path) -> None:
    """Exit code 1, the key then and now, and one line a step."""
    cue = TRANSCRIPTS.parent / "knowledge" / "cues" / "flex.yaml"
    (tmp_path / "pack" / "cues").mkdir(parents=True)
    changed = cue.read_text(encoding="utf-8").replace("rubbery: usually", "rubbery: sometimes")
    changed = changed.replace("rubbery: nearly_always", "rubbery: sometimes")
    (tmp_path / "pack" / "cues" / cue.name).write_text(changed, encoding="utf-8")
    done = run(
        tmp_path, "replay", str(TRANSCRIPTS / "gear-lever-bellows.yaml"), "--knowledge", str(tmp_path / "pack")
    )
    assert done.returncode == 1, done.stderr
    assert "recorded with knowledge" in done.stdout
    assert "flex = rubbery: " in done.stdout and " -> " in done.stdout


def test_bad_names_are_one_sentence(tmp_path: Path) -> None:
    """No such interview, no such file, a page that cannot be written: exit code 2, nothing on standard output."""
    (tmp_path / "file").touch()
    for args in (
        ("summary", "7"),
        ("summary", "nowhere.yaml"),
        ("summary", str(TRANSCRIPTS / "left-early.yaml"), "--page", str(tmp_path / "file" / "p.html")),
        ("interview", "--page", "p.html"),
    ):
        done = run(tmp_path, *args)
        assert (done.returncode, done.stdout, done.stderr.count("\n")) == (2, "", 1), done.stderr
