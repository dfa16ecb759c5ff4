"""Running many interviews: in one process or several, from the start or from where a file of results ends.

Interview `i` of a seed draws its own random numbers, so the result is the same whatever the number of jobs and
wherever the work was broken off.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from whichresin.knowledge.model import Model

from .chart import read_chart
from .misfit import AS_THE_TABLES_SAY, Misfit, world_of
from .play import Played, Player, Policy, Setting, own_policy
from .policies import chart_policy, gain_policy, random_policy

POLICIES = ("own", "chart", "gain", "random")
CHUNK = 25  # interviews handed to a process at a time
Progress = Callable[[int, int], None]


class BadFile(ValueError):
    """A file of results that does not belong to this run; the message is one sentence."""


@dataclass(frozen=True, slots=True)
class Order:
    """What is to be simulated."""

    interviews: int
    seed: int
    misfit: Misfit = AS_THE_TABLES_SAY
    target: str = "decision"
    shop: tuple[str, ...] = ()
    allow: tuple[str, ...] = ()
    part: str = ""
    policy: str = "own"
    stop_below: float | None = None  # minutes; for the policies that stop on the expected loss

    def head(self, model: Model) -> dict[str, Any]:
        """What a file of results must have been made with to be gone on with."""
        made_with = {**asdict(self), "misfit": self.misfit.as_json(), "knowledge": model.key}
        made_with.pop("interviews")
        return {"whichresin": "simulated interviews", **json.loads(json.dumps(made_with))}


def player_of(model: Model, order: Order) -> Player:
    """A player for this order. Raises ValueError for a part kind or a misfit that does not exist."""
    world = world_of(model, order.misfit, order.seed)
    setting = Setting(world, order.seed, order.target, order.shop, order.allow, order.part)
    return Player(setting, _policy(order))


def _policy(order: Order) -> Policy:
    if order.policy == "own":
        return own_policy(order.target, order.shop)
    if order.policy == "gain":
        return gain_policy(order.target, order.shop, order.stop_below)
    if order.policy == "random":
        return random_policy(order.target, order.shop, order.stop_below)
    return chart_policy(read_chart(), order.target, order.shop, order.stop_below)


def simulate(
    model: Model,
    order: Order,
    jobs: int = 1,
    keep: Path | None = None,
    progress: Progress | None = None,
) -> list[Played]:
    """All interviews of the order, by index. `keep` is read first and then added to, line by line."""
    done = _read(keep, order, model) if keep else {}
    left = [index for index in range(order.interviews) if index not in done]
    found = [one for index, one in done.items() if index < order.interviews]
    if keep is not None and not done:
        keep.write_text(json.dumps(order.head(model)) + "\n", encoding="utf-8")
    for chunk in _chunks(model, order, left, jobs):
        found += chunk
        if keep is not None:
            with keep.open("a", encoding="utf-8") as file:
                file.writelines(json.dumps(asdict(one)) + "\n" for one in chunk)
        if progress is not None:
            progress(len(found), order.interviews)
    return sorted(found, key=lambda one: one.index)


def _chunks(model: Model, order: Order, left: list[int], jobs: int) -> Iterator[list[Played]]:
    pieces = [left[i : i + CHUNK] for i in range(0, len(left), CHUNK)]
    if jobs <= 1 or len(pieces) <= 1:
        player = player_of(model, order)
        for piece in pieces:
            yield [player.play(index) for index in piece]
        return
    # Fresh processes everywhere, so that a run behaves alike on every system.
    with ProcessPoolExecutor(
        min(jobs, len(pieces)), get_context("spawn"), initializer=_start, initargs=(model, order)
    ) as pool:
        for future in as_completed([pool.submit(_play, piece) for piece in pieces]):
            yield future.result()


_player: Player | None = None  # of this worker process


def _start(model: Model, order: Order) -> None:
    global _player
    _player = player_of(model, order)


def _play(piece: list[int]) -> list[Played]:
    if _player is None:
        raise RuntimeError("a worker process was not set up")
    return [_player.play(index) for index in piece]


def _read(path: Path, order: Order, model: Model) -> dict[int, Played]:
    """Finished interviews in a file of results; a line torn by a crash is dropped."""
    if not path.exists() or not path.stat().st_size:
        return {}
    lines = path.read_text(encoding="utf-8").split("\n")
    try:
        head = json.loads(lines[0])
    except ValueError:
        raise BadFile(f"{path} holds no simulated interviews; name a new file.") from None
    if head != order.head(model):
        raise BadFile(f"{path} was made with other options or other knowledge; name a new file.")
    found = {}
    whole, torn = [lines[0]], lines.pop() != ""
    for line in lines[1:]:
        try:
            one = Played(**json.loads(line))
        except (ValueError, TypeError):
            torn = True
            continue
        found[one.index] = one
        whole.append(line)
    if torn:
        path.write_text("\n".join(whole) + "\n", encoding="utf-8")
    return found
