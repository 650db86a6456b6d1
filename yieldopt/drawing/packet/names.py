"""File names that every file system takes."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping

# Names that some systems keep for devices.
_TAKEN = {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(1, 10)), *(f"lpt{n}" for n in range(1, 10))}
LONGEST = 80


def file_names(names: Iterable[str]) -> Mapping[str, str]:
    """A safe file stem for each name: ASCII letters, digits, `.`, `_` and `-`, unique whatever the case of letters."""
    found: dict[str, str] = {}
    used: set[str] = set()
    for name in names:
        plain = unicodedata.normalize("NFKD", name)
        plain = re.sub(r"[^A-Za-z0-9._-]+", "_", "".join(c for c in plain if not unicodedata.combining(c)))
        stem = plain.strip("._-")[:LONGEST] or "board"
        if stem.lower().split(".")[0] in _TAKEN:
            stem = f"board_{stem}"
        tried, n = stem, 2
        while tried.lower() in used:
            tried, n = f"{stem}-{n}", n + 1
        used.add(tried.lower())
        found[name] = tried
    return found
