"""`whichresin check` also looks at figures, products, failure patterns and the fixed chart, shipped or laid over."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from whichresin.knowledge.paths import shipped
from whichresin.repair.failure import load_failures
from whichresin.repair.figures import NEEDED, load_figures
from whichresin.repair.files import repair_file
from whichresin.training.check import Memory, check

MEMORY = Memory()  # the shipped files are read and played once
SHIPPED = Path(shipped().knowledge) / "repair"
CODE = Path(__file__).parents[2] / "identify" / "whichresin" / "repair"


def changed(tmp_path: Path, name: str, old: str, new: str) -> list[str]:
    """The problems that a pack with one changed file brings."""
    text = (SHIPPED / name).read_text(encoding="utf-8")
    assert old in text
    (tmp_path / "repair").mkdir()
    (tmp_path / "repair" / name).write_text(text.replace(old, new, 1), encoding="utf-8")
    return [str(one) for one in check([str(tmp_path)], memory=MEMORY).problems if one.level == "error"]


@pytest.mark.parametrize(
    ("name", "old", "new", "sentence"),
    [
        ("figures.yaml", "id: margin_mm", "id: margins_mm", "figures.yaml without margin_mm"),
        ("figures.yaml", "source: CURE10", "source: CURE11", "source 'CURE11' is not in shared/sources.yaml"),
        ("failures.yaml", "value: peeled_clean", "value: peeled", "there is no answer to old_repair 'peeled'"),
        ("failures.yaml", "cue: old_repair", "cue: old_repairs", "there is no cue 'old_repairs'; did you mean"),
        ("products.yaml", "iso-adhesive", "iso-adhesives", "there is no caution 'iso-adhesives'; did you mean"),
        ("chart.yaml", "cue: look,", "cue: looks,", "there is no cue 'looks'; did you mean"),
        ("chart.yaml", "stop_below_minutes:", "stop_below:", "chart.yaml without stop_below_minutes"),
        ("chart.yaml", "source: [VM1, common practice]", "source: [VM0]", "source 'VM0' is not in shared/sources.yaml"),
        ("products.yaml", "starts: flash_off", "starts: flash", "there is no clock 'flash'"),
    ],
)
def test_a_fault_is_found_and_has_its_place(tmp_path: Path, name: str, old: str, new: str, sentence: str) -> None:
    """What nobody reads until a sheet is made would break at the bench."""
    found = changed(tmp_path, name, old, new)
    assert any(sentence in one and f"{name}:" in one for one in found), found


def test_a_pack_may_bring_its_own(tmp_path: Path) -> None:
    """The last pack that has the file wins; without one the shipped file is read."""
    shutil.copytree(SHIPPED, tmp_path / "repair")
    path = tmp_path / "repair" / "figures.yaml"
    path.write_text(
        path.read_text().replace(
            "id: margin_mm, kind: choice, low: 25, usual: 30", "id: margin_mm, kind: choice, low: 25, usual: 40"
        )
    )
    assert load_figures(repair_file("figures.yaml", [str(tmp_path)])).band("margin_mm").usual == 40
    assert load_figures().band("margin_mm").usual == 30
    assert load_failures(repair_file("failures.yaml", [str(tmp_path / "nowhere")])).patterns


def test_the_needed_figures_are_those_that_the_code_reckons_with() -> None:
    """A figure that the code asks for and the list forgets would fail at the bench; one too many would mislead."""
    code = "".join((CODE / f"{name}.py").read_text() for name in ("size", "quantities", "times", "provide"))
    figures = load_figures().rows
    asked = {name for name in figures if f'"{name}"' in code}
    asked |= {name for name in figures if name.startswith(("antoine_", "cleaner_"))}  # put together from their ends
    assert asked == set(NEEDED) == set(figures)
