"""`whichresin config`: the settings that hold, and where each comes from."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from whichresin.vocabulary.text import escaped

from . import output

if TYPE_CHECKING:
    from .options import Options
    from .settings import Config


def parser() -> Options:
    """The options of the command."""
    from .options import Options

    parser = Options(
        prog="whichresin config",
        description="Show the settings that hold and where each comes from, and where things are kept. The settings "
        "file is YAML; 'whichresin help settings' shows one.",
    )
    parser.add_argument("--path", action="store_true", help="print only where the settings file is looked for")
    parser.add_argument("--json", action="store_true", help="print one JSON document")
    return parser


def run(args: Sequence[str]) -> int:
    """Run the command; 2 when the settings file has a fault."""
    options = parser().parse_args(args)
    from .settings import config_path, load_config

    if options.path:
        sys.stdout.write(f"{config_path() or 'nowhere'}\n")
        return output.DONE
    config = load_config()
    rows, kept = _rows(config), _kept()
    if options.json:
        output.say_json(
            {
                "schema": 1,
                "file": str(config.path),
                "settings": {name: {"value": value, "from": source} for name, value, source in rows},
                "kept": kept,
            }
        )
        return output.DONE
    sys.stdout.write(f"Settings file: {config.path}{'' if config.path.is_file() else ' (there is none)'}\n\n")
    for name, value, source in rows:
        said = ", ".join(value) if isinstance(value, list) else "" if value is None else str(value)
        sys.stdout.write(escaped(f"{name:<12} {said or '-'}  ({source})") + "\n")
    sys.stdout.write("\n")
    sys.stdout.writelines(f"{escaped(f'{name:<12} {place}')}\n" for name, place in kept.items())
    return output.DONE


def _rows(config: Config) -> list[tuple[str, object, str]]:
    """(name, value, where from) of every setting."""
    tutor = "until the first interview is finished" if config.tutor is None else "yes" if config.tutor else "no"
    values: dict[str, object] = {
        "shop_name": config.shop_name,
        "shop": list(config.shop),
        "mode": config.mode,
        "tutor": tutor,
        "temperature": config.temperature,
        "knowledge": list(config.knowledge),
    }
    return [(name, value, config.places.get(name, "usual")) for name, value in values.items()]


def _kept() -> dict[str, str]:
    from whichresin.knowledge.paths import cache_folder, shipped
    from whichresin.session.journal import folder

    return {"interviews": str(folder()), "compiled": cache_folder(), "shipped": shipped().knowledge}
