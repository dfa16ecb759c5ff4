"""The settings file: what it says holds where nothing is typed, and its faults are named with their place."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from whichresin.command import settings
from whichresin.command.interview import parser
from whichresin.command.main import run
from whichresin.command.output import BadInput
from whichresin.command.settings import Config, celsius, config_path, load_config


@pytest.fixture
def write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    def write(text: str) -> Path:
        path = tmp_path / "config.yaml"
        path.write_text(text, encoding="utf-8")
        monkeypatch.setenv("WHICHRESIN_CONFIG", str(path))
        return path

    return write


def test_every_setting_is_read_with_its_place(write, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """A pack beside the file is found from there; each setting knows its line."""
    (tmp_path / "pack").mkdir()
    path = write(
        "# ours\nshop_name: Workshop North\nshop: [Plastic welder]\nmode: plain\ntutor: no\n"
        "temperature: fahrenheit\nknowledge: [pack]\n"
    )
    config = load_config()
    assert (config.shop_name, config.shop, config.mode) == ("Workshop North", ("Plastic welder",), "plain")
    assert (config.tutor, config.temperature) == (False, "fahrenheit")
    assert config.knowledge == (str(tmp_path / "pack"),)
    assert config.places["mode"] == f"{path}:4" and set(config.places) == set(settings._READERS)


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("mod: plain", "1:1", "'mod' is not a setting; did you mean 'mode'?"),
        ("mode: plainn", "1:7", "'plainn' is not a value of this setting; did you mean 'plain'?"),
        ("shop: []\nknowledge: [nowhere]", "2:13", "there is no folder"),
        ("tutor: perhaps", "1:8", "use one of yes"),
        ("shop_name: {a: b}", "1:12", "one word or text was expected"),
        ("- mode", "1:1", "settings are names and values"),
        ("mode: plain\nmode: rich", "2:1", "mode"),
        ("mode: [", "", ""),
    ],
)
def test_a_fault_is_one_sentence_with_its_place(  # type: ignore[no-untyped-def]
    write, capsys: pytest.CaptureFixture[str], text: str, place: str, words: str
) -> None:
    """File, line, column, what is wrong, the nearest known word; every command that reads it says the same."""
    path = write(text)
    for args in (["config"], ["interview", "--answer", "grind=powder", "--json"]):
        assert run(args) == 2
        said = capsys.readouterr()
        assert f"{path}:{place}" in said.err and words in said.err
        assert said.err.count("\n") == 1 and said.out == ""


def test_a_file_that_was_named_must_be_there(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A wrong name in the environment must not pass for no settings."""
    monkeypatch.setenv("WHICHRESIN_CONFIG", str(tmp_path / "no.yaml"))
    with pytest.raises(BadInput, match="there is no such file"):
        load_config()


def test_no_file_and_an_empty_file_are_no_settings(  # type: ignore[no-untyped-def]
    write, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """What is usual then holds."""
    path = write("")
    assert load_config() == Config(path)
    monkeypatch.delenv("WHICHRESIN_CONFIG")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "none"))
    assert config_path() == tmp_path / "none" / "whichresin" / "config.yaml"
    assert not load_config().places
    monkeypatch.setenv("XDG_CONFIG_HOME", "relative")
    path = config_path()
    assert path is not None and path.is_absolute()


def test_what_is_typed_comes_first(write, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """The file fills what was left open; folders of both count, those typed last and so strongest."""
    (tmp_path / "pack").mkdir()
    write("mode: plain\ntutor: no\nknowledge: [pack]\n")
    options = parser().parse_args(["--knowledge", "mine", "--tutor"])
    assert (options.plain, options.tutor) == (True, True)
    assert options.knowledge == [str(tmp_path / "pack"), "mine"]
    assert parser().parse_args([]).tutor is False


def test_shop_and_name_reach_result_and_page(  # type: ignore[no-untyped-def]
    write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What the shop has bears on the questions; its name stands on the page, as text."""
    write("shop_name: Workshop <North>\nshop: [welder]\n")
    page = tmp_path / "page.html"
    assert run(["interview", "--answer", "float_in_water=floats", "--json", "--page", str(page)]) == 0
    with_welder = json.loads(capsys.readouterr().out)["questions"]
    assert "Workshop &lt;North&gt;" in page.read_text(encoding="utf-8")
    write("shop: []\n")
    run(["interview", "--answer", "float_in_water=floats", "--json"])
    assert json.loads(capsys.readouterr().out)["questions"] != with_welder


@pytest.mark.parametrize(
    ("text", "unit", "in_celsius"),
    [("23", "celsius", "23"), ("73.4F", "celsius", "23"), ("73.4", "fahrenheit", "23"), ("23C", "fahrenheit", "23"),
     ("32 f", "celsius", "0"), ("warm", "fahrenheit", "warm"), ("", "celsius", "")],
)  # fmt: skip
def test_temperatures_in_the_unit_of_the_shop(text: str, unit: str, in_celsius: str) -> None:
    """C = (F - 32) / 1.8 exactly (NIST SP 811); what is no figure is left for the command to refuse."""
    assert celsius(text, Config(Path(), temperature=unit)) == in_celsius


def test_config_shows_what_holds_and_from_where(  # type: ignore[no-untyped-def]
    write, capsys: pytest.CaptureFixture[str]
) -> None:
    """As text, as JSON, and the bare path."""
    path = write("mode: plain\n")
    assert run(["config"]) == 0
    assert f"mode         plain  ({path}:1)" in capsys.readouterr().out
    assert run(["config", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["settings"]["mode"] == {"value": "plain", "from": f"{path}:1"}
    assert document["settings"]["shop_name"]["from"] == "usual" and document["kept"]["interviews"]
    assert run(["config", "--path"]) == 0
    assert capsys.readouterr().out == f"{path}\n"


def test_help_is_there_when_the_settings_are_broken(  # type: ignore[no-untyped-def]
    write, capsys: pytest.CaptureFixture[str]
) -> None:
    """Whoever has to mend the file must be able to read how it is written."""
    write("mod: plain\n")
    assert run(["help", "settings"]) == 0
    assert "shop_name: " in capsys.readouterr().out


def test_the_settings_that_help_shows_are_settings(  # type: ignore[no-untyped-def]
    write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The example of `help settings`, read as a settings file."""
    assert run(["help", "settings"]) == 0
    lines = [line for line in capsys.readouterr().out.splitlines() if line.startswith("    ")]
    (tmp_path / "my-shop").mkdir()
    write("\n".join(line.strip() for line in lines).replace("~/", ""))
    assert set(load_config().places) == set(settings._READERS)


def test_the_answers_file_that_help_shows_is_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The example of `help answers-file`, read as an answers file."""
    assert run(["help", "answers-file"]) == 0
    lines = [line[4:] for line in capsys.readouterr().out.splitlines() if line.startswith("    ")]
    path = tmp_path / "part.yaml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    assert run(["interview", "--answers", str(path), "--json"]) == 0
