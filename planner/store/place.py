"""Where the store lies: the user's data folder, unless a place is named."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

from sqlalchemy.engine import make_url
from sqlalchemy.exc import ArgumentError

from planner.store.refusal import StoreRefused

#: Environment variable that names the store where no ``--db`` can be given (the web app).
DB_VARIABLE = "PLANNER_DB"

FOLDER, FILE = "diving-team-planner", "store.sqlite"


def data_folder(
    platform: str = sys.platform, home: Path | None = None, variables: Mapping[str, str] = os.environ
) -> Path:
    """The folder for a user's data that the system provides, with our own folder in it.

    Windows: ``LOCALAPPDATA``; macOS: ``Library/Application Support``; else ``XDG_DATA_HOME`` or
    ``~/.local/share`` (XDG Base Directory Specification).
    """
    home = home or Path.home()
    if platform == "win32":
        base = Path(variables.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        named = Path(variables.get("XDG_DATA_HOME", ""))
        # the specification has relative paths ignored
        base = named if named.is_absolute() else home / ".local" / "share"
    return base / FOLDER


def default_url() -> str:
    """The store of this user: as the variable ``PLANNER_DB`` says, else the file in the data folder."""
    return url_of(os.environ.get(DB_VARIABLE) or str(data_folder() / FILE))


def url_of(place: str) -> str:
    """A place as typed, a path or a URL, as a database URL.

    Raises
    ------
    StoreRefused
        It is a URL that names no database this program can use.
    """
    if "://" not in place:
        return f"sqlite:///{Path(place).expanduser().absolute()}"
    try:
        url = make_url(place)
    except ArgumentError as wrong:
        raise StoreRefused(
            f"{place} is not a database URL such as sqlite:////folder/store.sqlite."
        ) from wrong
    kind = url.get_backend_name()
    if kind not in ("sqlite", "postgresql"):
        raise StoreRefused(f"The store can lie in SQLite or PostgreSQL; {kind} is neither.")
    if kind == "sqlite" and not url.database:
        raise StoreRefused("A store in memory would be gone with the program: name a file.")
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    return url.render_as_string(hide_password=False)
