"""Docs compared with the code: every command and option is documented, every page is reachable, every link leads somewhere."""

from __future__ import annotations

import re
from pathlib import Path

import docs_tables
import pytest

from yieldopt.cli import COMMANDS

TOP = Path(__file__).parent.parent
DOCS = TOP / "docs"
PAGES = sorted(DOCS.rglob("*.md"))
TEXTS = [TOP / "README.md", TOP / "DEVELOPERS.md", *PAGES, *sorted((TOP / "inventory").rglob("*.md"))]
COMMANDS_PAGE = docs_tables.PAGE.read_text(encoding="utf-8")
EVERY_COMMAND = docs_tables.commands()


def _section(command: str) -> str:
    """The text under the command's own heading in the reference."""
    found = re.search(rf"^##+ `yieldopt {re.escape(command)}`\n(.*?)(?=^##+ |\Z)", COMMANDS_PAGE, re.M | re.S)
    assert found is not None, f"docs/reference/commands.md has no heading for `yieldopt {command}`"
    return found[1]


@pytest.mark.parametrize("command", EVERY_COMMAND)
def test_every_command_is_documented_with_every_option(command: str) -> None:
    assert docs_tables.table(command) in _section(command), "run `python tests/docs_tables.py` and read the difference"


def test_no_command_is_documented_that_does_not_exist() -> None:
    documented = set(re.findall(r"^##+ `yieldopt ([^`]+)`$", COMMANDS_PAGE, re.M))
    assert documented - {name for name in COMMANDS if name not in EVERY_COMMAND} == set(EVERY_COMMAND)


@pytest.mark.parametrize("command", EVERY_COMMAND)
def test_no_option_is_spoken_of_that_does_not_exist(command: str) -> None:
    known = {name for action in EVERY_COMMAND[command]._actions for name in action.option_strings}
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z0-9-]*", _section(command))) <= known


@pytest.mark.parametrize("page", TEXTS, ids=lambda p: str(p.relative_to(TOP)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)\s]+)\)", page.read_text(encoding="utf-8")):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, anchor = target.partition("#")
        aim = (page.parent / path).resolve() if path else page
        assert aim.exists(), f"{target} is not there"
        if anchor and aim.suffix == ".md":
            headings = re.findall(r"^#+ (.+)$", aim.read_text(encoding="utf-8"), re.M)
            assert anchor in {_anchor(h) for h in headings}, f"{target}: no such heading"


def _anchor(heading: str) -> str:
    """The anchor that common Markdown renderers give a heading."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-")


def test_every_page_is_reached_from_the_index() -> None:
    index = DOCS / "index.md"
    linked = {(DOCS / t.partition("#")[0]).resolve() for t in re.findall(r"\]\(([^)\s]+)\)", index.read_text(encoding="utf-8"))}
    assert {p.resolve() for p in PAGES} - {index.resolve()} <= linked


def test_docs_have_their_four_rooms_and_no_others() -> None:
    assert {p.relative_to(DOCS).parts[0] for p in PAGES if p.parent != DOCS} == {"tutorial", "howto", "reference", "explanation"}
    assert [p.name for p in PAGES if p.parent == DOCS] == ["index.md"]


def test_every_picture_is_used() -> None:
    used = {
        (page.parent / t).resolve()
        for page in TEXTS
        for t in re.findall(r"!\[[^\]]*\]\(([^)\s]+)\)", page.read_text(encoding="utf-8"))
    }
    assert {p.resolve() for p in (DOCS / "pictures").rglob("*") if p.is_file()} <= used
