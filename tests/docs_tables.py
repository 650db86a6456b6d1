"""The option tables of docs/reference/commands.md, made from the parsers. Run as a script, it rewrites them in place."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator
from pathlib import Path

from yieldopt.cli import parser
from yieldopt.commands import Later

PAGE = Path(__file__).parent.parent / "docs" / "reference" / "commands.md"
MARKED = re.compile(r"<!-- options: (?P<command>[a-z ]+) -->\n.*?<!-- end -->", re.S)


def commands() -> dict[str, argparse.ArgumentParser]:
    """Every command and subcommand with its own parser, e.g. "rack log"."""

    def below(top: argparse.ArgumentParser, path: str) -> Iterator[tuple[str, argparse.ArgumentParser]]:
        if isinstance(top, Later):
            top.fill()
        groups = [a for a in top._actions if isinstance(a, argparse._SubParsersAction)]
        if path and not groups:
            yield path, top
        for group in groups:
            for name, sub in group.choices.items():
                yield from below(sub, f"{path} {name}".strip())

    return dict(below(parser(), ""))


def table(command: str) -> str:
    """The marked table of one command: an argument or option a row, as its own help words it."""
    rows = []
    for action in commands()[command]._actions:
        if action.dest == "help":
            continue
        assert action.help, f"{command}: {action.dest} has no help"
        rows.append(f"| {', '.join(_spellings(action))} | {action.help.replace('%%', '%').replace('|', chr(92) + '|')} |")
    return "\n".join([f"<!-- options: {command} -->", "| argument | what |", "| --- | --- |", *rows, "<!-- end -->"])


def _spellings(action: argparse.Action) -> list[str]:
    values = "" if action.nargs == 0 else _values(action)
    names = [f"{name} {values}".strip() for name in action.option_strings] or [values]
    return [
        "`" + name.replace("|", "\\|") + "`" + (" (needed)" if action.required and action.option_strings else "")
        for name in names
    ]


def _values(action: argparse.Action) -> str:
    if isinstance(action.metavar, tuple):
        return " ".join(action.metavar)
    if action.metavar is not None:
        return action.metavar
    return "|".join(map(str, action.choices)) if action.choices else action.dest.upper()


def rewritten(page: str) -> str:
    """The page with every marked table as the parsers have it now."""
    known = commands()
    return MARKED.sub(lambda m: table(m["command"]) if m["command"] in known else m[0], page)


if __name__ == "__main__":
    PAGE.write_text(rewritten(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
