"""The password of the app as its file keeps it: salted and hashed, never the password itself.

One line, ``scrypt$n$r$p$salt$hash`` (RFC 7914; salt and hash in base 64). Its cost, n = 2^15, r = 8, p = 3,
takes 32 MB and some tenths of a second a guess: one of the settings that the OWASP Password Storage
Cheat Sheet gives as its least (compared with a public copy, 29 Nov 2026).
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
import unicodedata
from pathlib import Path

from planner.errors import PlannerError

#: Letters of the shortest password that is taken (common practice).
SHORTEST = 12

#: n, r, p of what is written.
_COST = (2**15, 8, 3)
_SALT_BYTES, _HASH_BYTES = 16, 32

#: A file whose cost would take more memory than this is no file of this program, bytes.
_MOST_MEMORY = 256 * 2**20


class NoPassword(PlannerError):
    """A password that cannot be taken, or a file that holds none."""


def hashed(password: str) -> str:
    """The line to keep for a password, with a salt of its own.

    Raises
    ------
    NoPassword
        It is shorter than `SHORTEST`.
    """
    if len(password) < SHORTEST:
        raise NoPassword(f"A password has {SHORTEST} letters or more.")
    salt = secrets.token_bytes(_SALT_BYTES)
    parts = (base64.b64encode(part).decode() for part in (salt, _hash(password, salt, *_COST)))
    return "$".join(("scrypt", *map(str, _COST), *parts))


def matches(password: str, kept: str) -> bool:
    """Whether this is the password of the line kept; takes as long for any other of its length.

    Raises
    ------
    NoPassword
        The line is none that `hashed` writes.
    """
    salt, expected, cost = _read(kept)
    return hmac.compare_digest(_hash(password, salt, *cost), expected)


def read_kept(path: Path) -> str:
    """The line that a password file holds.

    Raises
    ------
    NoPassword
        The file cannot be read, or holds no such line.
    """
    try:
        kept = path.read_text("ascii").strip()
    except (OSError, UnicodeDecodeError) as wrong:
        raise NoPassword(f"The password file {path} cannot be read: {wrong}.") from wrong
    _read(kept)
    return kept


def _read(kept: str) -> tuple[bytes, bytes, tuple[int, int, int]]:
    try:
        name, n, r, p, salt_text, hash_text = kept.split("$")
        cost = int(n), int(r), int(p)
        salt, expected = (base64.b64decode(part, validate=True) for part in (salt_text, hash_text))
        sound = name == "scrypt" and len(salt) >= _SALT_BYTES and len(expected) == _HASH_BYTES
        if not sound or cost < (2, 1, 1) or 128 * cost[0] * cost[1] > _MOST_MEMORY:
            raise ValueError
        hashlib.scrypt(b"", salt=salt, n=cost[0], r=cost[1], p=1, maxmem=2 * _MOST_MEMORY, dklen=1)
    except ValueError as wrong:
        raise NoPassword("This is no password file: make one with the command password.") from wrong
    return salt, expected, cost


def _hash(password: str, salt: bytes, n: int, r: int, p: int) -> bytes:
    # the same letters typed on another keyboard may come as other characters
    typed = unicodedata.normalize("NFC", password).encode("utf-8", "surrogatepass")
    return hashlib.scrypt(typed, salt=salt, n=n, r=r, p=p, maxmem=2 * _MOST_MEMORY, dklen=_HASH_BYTES)
