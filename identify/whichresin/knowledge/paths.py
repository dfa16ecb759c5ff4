"""Where things are: the shipped knowledge (in a checkout or inside an installed package), and the cache
folder.
"""

from __future__ import annotations

import os
import sys

from .stamps import UnreadableFolder

PACKAGE = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))


class Places:
    """The two folders that the tool cannot do without."""

    __slots__ = ("knowledge", "shared")

    def __init__(self, knowledge: str, shared: str) -> None:
        self.knowledge = knowledge
        self.shared = shared


def shipped() -> Places:
    """The shipped `knowledge/` and `shared/`; raises FileNotFoundError when the installation lacks them."""
    checkout = os.path.dirname(os.path.dirname(PACKAGE))
    inside = os.path.join(PACKAGE, "data")
    for root in (inside, checkout):
        places = Places(os.path.join(root, "knowledge"), os.path.join(root, "shared"))
        if os.path.isdir(places.knowledge) and os.path.isdir(places.shared):
            return places
    raise FileNotFoundError(f"no knowledge and shared folders in {inside} or {checkout}; install whichresin again")


def places_of(knowledge: str | None, shared: str | None) -> Places:
    """The folders given, or the shipped ones. Raises UnreadableFolder when they are not there."""
    if knowledge is not None and shared is not None:
        return Places(knowledge, shared)
    try:
        places = shipped()
    except FileNotFoundError as error:
        raise UnreadableFolder(os.curdir, str(error)) from None
    return Places(knowledge or places.knowledge, shared or places.shared)


def cache_folder() -> str:
    """The user's folder for compiled knowledge; it need not exist. WHICHRESIN_CACHE names another one."""
    own = os.environ.get("WHICHRESIN_CACHE")
    if own:
        return os.path.abspath(own)
    base = os.environ.get("XDG_CACHE_HOME", "")
    if not os.path.isabs(base):  # the XDG rule: a relative path is to be ignored
        if sys.platform == "win32":
            base = os.environ.get("LOCALAPPDATA") or os.path.expanduser(r"~\AppData\Local")
        elif sys.platform == "darwin":
            base = os.path.expanduser("~/Library/Caches")
        else:
            base = os.path.expanduser("~/.cache")
    return os.path.join(base, "whichresin")


def current_folder() -> str:
    """The folder that relative paths start from; empty when it has been removed meanwhile."""
    try:
        return os.getcwd()
    except OSError:
        return ""


def shown_path(path: str) -> str:
    """The path as messages show it: relative when it lies under the current folder."""
    try:
        relative = os.path.relpath(path)
    except (ValueError, OSError):
        return path
    return path if relative.startswith("..") else relative
