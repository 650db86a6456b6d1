"""The tables of docs/reference/rack.md, made from the code. Run as a script, it rewrites them in place."""

from __future__ import annotations

import re
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import docs_tables

from yieldopt.rack.board.record import STATES
from yieldopt.rack.books import holding, photos
from yieldopt.rack.commands.intake import REMEMBERED
from yieldopt.rack.db import rackfile
from yieldopt.rack.db.engine import PATIENCE
from yieldopt.rack.io import asking
from yieldopt.rack.typed import extras, intake

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "rack.md"
MARKED = re.compile(r"<!-- table: (?P<name>[a-z ]+) -->\n.*?<!-- end -->", re.S)
MEGABYTE = 1024 * 1024

# What the ledger calls a change; a test holds it to the words that the code writes.
CHANGES = {
    "log": "a board was logged",
    "load": "a folder was loaded",
    "correct": "what is known of a board was changed",
    "photo": "a photo was added by itself",
    "split": "a board became two",
    "cut": "boards were booked as cut for a job; their offcuts came",
    "retire": "boards left uncut, and why",
    "hold": "boards are held for a job",
    "release": "holds were ended by hand",
    "undo": "a change was taken back",
}
STATE_WORDS = {
    "on rack": "it can be planned with",
    "cut": "booked as cut; its offcuts are boards of their own",
    "split": "sawn in two boards that took its place",
    "retired": "it left uncut",
}


def _subcommands() -> list[tuple[str, ...]]:
    rows = [("command", "what", "options besides `--rack`, `--who`, `--units`")]
    for name, parser in docs_tables.commands().items():
        if name.startswith("rack "):
            mine = [a for a in parser._actions if a.dest not in ("help", "rack", "who", "units")]
            spelled = [a.option_strings[0] if a.option_strings else str(a.metavar) for a in mine]
            rows.append((f"`{name}`", str(parser.description), ", ".join(f"`{s}`" for s in spelled) or "none"))
    return rows


def _limits() -> list[tuple[str, ...]]:
    shared = ", ".join(REMEMBERED)
    return [
        ("what", "limit"),
        ("text in a field", f"{extras.LONGEST_TEXT} characters"),
        ("remarks", f"{extras.LONGEST_REMARK:,} characters"),
        ("readings, points of thickness, photos of a board", f"{extras.MOST_ITEMS} each"),
        ("a photo", f"{photos.LARGEST_IN_BYTES // MEGABYTE} MB, {photos.LARGEST_IN_PIXELS:,} pixels; {', '.join(photos.KINDS)}"),
        ("a hold for a job", f"{holding.JOB_SECONDS // 86_400} days, or what `--days` says"),
        ("a hold while a plan is searched", f"the search's seconds and {holding.PLANNER_SECONDS // 60} minutes"),
        ("a writer waits for others", f"{PATIENCE} s"),
        ("a file is read from end to end at each opening", f"up to {rackfile.LARGEST_QUICK_CHECK // MEGABYTE} MB"),
        ("`--same` takes over", shared),
    ]


def tables() -> dict[str, list[tuple[str, ...]]]:
    """Table name -> rows, the header first."""
    facts = [
        (f"`{word}`", f"`{form.split(' (')[0].split(': ')[0] if word != 'points' else form}`")
        for word, (_, form) in asking.FACTS.items()
    ]
    facts += [(f"`{word}`", f"`{form.split(': ')[0]}`") for word, form in asking.LISTS.items()]
    facts.append(("a kind of defect", f"`{intake.DEFECT_FORM.split(' such as: ')[0]}`"))
    return {
        "subcommands": _subcommands(),
        "states": [("state", "meaning"), *((f"`{s}`", STATE_WORDS[s]) for s in STATES)],
        "columns": [("column", "what"), *((f"`{c}`", what) for c, what in extras.COLUMNS.items())],
        "changes": [("change", "meaning"), *((f"`{c}`", what) for c, what in CHANGES.items())],
        "questions": [("question", "column"), *((q, f"`{c}`") for c, q in (*asking.QUESTIONS, asking.METRIC_PRICE))],
        "facts": [("first word", "line"), *facts],
        "limits": _limits(),
    }


def printed(name: str) -> str:
    """One marked table."""
    head, *body = tables()[name]
    rows = [head, ("---",) * len(head), *body]
    lines = ["| " + " | ".join(cell.replace("|", "\\|") for cell in row) + " |" for row in rows]
    return "\n".join([f"<!-- table: {name} -->", *lines, "<!-- end -->"])


def rewritten(page: str) -> str:
    """The page with every marked table as the code has it now."""
    return MARKED.sub(lambda m: printed(m["name"]), page)


if __name__ == "__main__":
    PAGE.write_text(rewritten(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
