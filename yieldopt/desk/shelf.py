"""The jobs that the desk knows: those opened last, in a small file of the user's; a new one, and the demo's to try things on."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from pathlib import Path

from pydantic import BaseModel

from yieldopt.ground.errors import UsageError
from yieldopt.ground.files import write_all_atomically, write_atomically
from yieldopt.ground.lengths import Units
from yieldopt.reading.blank import blank_files
from yieldopt.reading.settings import settings_in

MOST = 20
DEMO = "yieldopt-demo"


class Known(BaseModel):
    name: str
    folder: str
    # A plan lies in it.
    planned: bool


def usual_place() -> Path:
    """Where the list lies: with the user's state, as the XDG base directory specification has it."""
    home = os.environ.get("XDG_STATE_HOME")
    return (Path(home) if home else Path.home() / ".local" / "state") / "yieldopt" / "desk-jobs.json"


class Shelf:
    """`path` None: nothing is remembered. `beside`: where a new job or a copy of the `demo` goes."""

    def __init__(self, path: Path | None, beside: Path | None = None, demo: Path | None = None) -> None:
        self._path, self._demo = path, demo
        self.beside = beside or Path.cwd()

    def jobs(self) -> list[Known]:
        """Those opened before and still there, the newest first; then those in the folder that the desk was started in."""
        here = sorted(p.parent for p in self.beside.glob("*/job.toml"))
        found = dict.fromkeys([*(p for p in self._folders() if (p / "job.toml").is_file()), *(p.resolve() for p in here)])
        return [
            Known(name=settings_in(p, []).name or p.name, folder=str(p), planned=(p / "plan" / "plan.json").exists())
            for p in found
        ][:MOST]

    def _folders(self) -> list[Path]:
        try:
            listed = json.loads(self._path.read_text(encoding="utf-8")) if self._path else []
            return [Path(p) for p in listed if isinstance(p, str)]
        except (OSError, ValueError):
            return []

    def note(self, folder: Path) -> None:
        """This one was opened; where that can't be written down nothing is lost by it."""
        if self._path is None:
            return
        folders = [str(folder.resolve()), *(str(p) for p in self._folders() if p.resolve() != folder.resolve())]
        with suppress(OSError):
            write_atomically(self._path, json.dumps(folders[:MOST], ensure_ascii=False, indent=1) + "\n")

    def known(self, folder: str) -> Path:
        """The job of this folder. Raises `UsageError` for any other."""
        if folder not in {k.folder for k in self.jobs()}:
            raise UsageError(f"{folder}: none of the jobs that the desk knows; open it with yieldopt desk {folder}")
        return Path(folder)

    def new(self, name: str, units: Units) -> Path:
        """A blank job beside the others. Raises `UsageError` where the name is none for a folder or is taken."""
        name = name.strip()
        if not name or len(name) > 60 or name.startswith(".") or any(c in name for c in '/\\:*?"<>|') or not name.isprintable():
            raise UsageError(f"{name!r}: expected a name of letters, figures and spaces: it is the name of the folder, too")
        folder = self.beside / name
        if folder.exists():
            raise UsageError(f"{folder} is there already; choose another name")
        write_all_atomically(folder, blank_files(name, units))
        return folder

    def demo(self) -> Path:
        """A copy of the demo's job beside the others, made once. Raises `UsageError` where this installation has none."""
        if self._demo is None:
            raise UsageError("the demo is missing from this installation")
        folder = self.beside / DEMO
        if not (folder / "job.toml").is_file():
            write_all_atomically(folder, {p.name: p.read_bytes() for p in self._demo.iterdir() if p.is_file()})
        return folder
