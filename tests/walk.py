"""Follows a page of the docs as a reader does: its commands as they are written, one after the other, each in a fresh shell."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from dataclasses import dataclass, field
from pathlib import Path

TOP = Path(__file__).parent.parent
# First words of what a page asks the reader to type.
TYPED = ("yieldopt ", "cp ", ". ", "python3 ")
ACTIVATE = ". .venv/bin/activate"


@dataclass(frozen=True)
class Said:
    """What a command printed, both streams, and how it ended."""

    status: int
    text: str


def blocks(page: Path) -> list[str]:
    """What stands in the page's code blocks, indented or fenced, in order."""
    text = page.read_text(encoding="utf-8")
    found = re.findall(r"^```\w*\n((?:(?!```).*\n)*)```|((?:^    .*\n|^\n(?=    ))+)", text, re.M)
    return [(fenced or re.sub("^    ", "", indented, flags=re.M)).strip("\n") + "\n" for fenced, indented in found]


@dataclass
class Walk:
    """One reader with one page, in a folder that has the program's environment where a checkout has it."""

    page: Path
    folder: Path
    typed: list[str] = field(init=False)
    active: bool = False

    def __post_init__(self) -> None:
        lines = [line for block in blocks(self.page) for line in block.splitlines()]
        self.typed = [line for line in lines if line.startswith(TYPED)]
        self.folder.mkdir(parents=True, exist_ok=True)
        (self.folder / ".venv").symlink_to(sys.prefix)

    def block(self, begins: str) -> str:
        """The code block of the page that begins so."""
        (found,) = (b for b in blocks(self.page) if b.startswith(begins))
        return found

    def type(self, command: str, *, instead: tuple[str, str] = ("", "")) -> Said:
        """Run the page's next command, which has to be this one; with `instead` one bit of it is another, for a short walk."""
        assert self.typed, f"{self.page.name} has no command after {command!r}'s place"
        written = self.typed.pop(0)
        assert written == command, f"{self.page.name}: its next command is another"
        if written == ACTIVATE:
            self.active = True
            return Said(0, "")
        return self.run(written.replace(*instead) if instead[0] else written)

    def run(self, command: str) -> Said:
        """The command in a shell of its own, with nothing of this process's environment but where programs lie on any machine."""
        script = f"{ACTIVATE}\n{command}" if self.active else command
        home = self.folder / ".home"
        home.mkdir(exist_ok=True)
        env = {"HOME": str(home), "PATH": "/usr/local/bin:/usr/bin:/bin", "LANG": "C.UTF-8", "USER": "reader"}
        done = subprocess.run(
            ["bash", "-c", script], cwd=self.folder, env=env, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False
        )
        return Said(done.returncode, done.stdout.decode())

    def end(self) -> None:
        assert self.typed == [], f"{self.page.name} has commands that nobody followed"


def checkout(folder: Path) -> None:
    """What git has of this checkout, copied to a folder."""
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=TOP, capture_output=True, check=True).stdout.decode()
    for name in filter(None, listed.split("\0")):
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        if (TOP / name).is_file():
            shutil.copy2(TOP / name, folder / name)
