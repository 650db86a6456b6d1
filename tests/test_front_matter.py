"""The front of the house: what lies at the top, what the README promises, what the wheel carries."""

from __future__ import annotations

import re
import subprocess
import tomllib
from pathlib import Path

import pytest

TOP = Path(__file__).parent.parent
README = (TOP / "README.md").read_text(encoding="utf-8")
PROJECT = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))

PACKAGES = sorted(p.parent for p in (TOP / "yieldopt").rglob("__init__.py"))
MODULES = sorted((TOP / "yieldopt").rglob("*.py"))


def _tracked() -> list[str]:
    """Paths under version control; the test is skipped where the tree came without its history."""
    done = subprocess.run(["git", "ls-files"], cwd=TOP, capture_output=True, text=True, check=False)
    if done.returncode or not done.stdout:
        pytest.skip("not a git checkout")
    return done.stdout.splitlines()


def test_the_top_holds_only_what_belongs_there() -> None:
    top = {path.split("/")[0] for path in _tracked()}
    assert {name for name in top if not name.startswith(".")} == {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "yieldopt",
        "inventory",
        "tests",
        "docs",
    }


def test_every_package_is_listed_for_the_wheel() -> None:
    listed = PROJECT["tool"]["setuptools"]["packages"]
    found = [".".join(p.relative_to(TOP).parts) for p in PACKAGES]
    assert sorted(listed) == sorted([*found, "yieldopt.inventory"])


def test_every_folder_with_code_is_a_package() -> None:
    folders = {m.parent for m in MODULES}
    assert folders == set(PACKAGES), "a folder without __init__.py would be missing from the wheel"


@pytest.mark.parametrize("module", MODULES, ids=lambda p: str(p.relative_to(TOP)))
def test_modules_stay_short_and_say_what_they_are(module: Path) -> None:
    text = module.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 350
    assert text.lstrip().startswith('"""')


def test_readme_opens_with_the_job_in_one_paragraph_and_shows_a_sheet() -> None:
    paragraphs = [p for p in README.split("\n\n") if p.strip()]
    assert paragraphs[0].startswith("# ")
    assert 40 <= len(paragraphs[1].split()) <= 160
    picture = re.search(r"!\[[^\]]{10,}\]\(([^)]+)\)", README)
    assert picture is not None
    assert (TOP / picture[1]).is_file()


def test_readme_has_one_command_for_the_demo_and_one_for_the_tests() -> None:
    commands = [
        line for block in re.findall(r"```sh\n(.*?)```", README, re.S) for line in block.splitlines() if "venv .venv" in line
    ]
    assert len(commands) == 2
    assert commands[0].endswith("yieldopt demo")
    assert "-m pytest" in commands[1]


def test_ci_takes_the_test_command_from_the_readme() -> None:
    script = (TOP / ".ci" / "run").read_text(encoding="utf-8")
    assert "grep -m1 -- '-m pytest' README.md" in script
    first = next(line for line in README.splitlines() if "-m pytest" in line)
    assert first.startswith("python3 -m venv .venv && ")


def test_readme_and_tutorial_carry_the_usual_cautions() -> None:
    for word in ("short", "narrow", "thin", "case-hardened", "bowed", "guard", "push", "instructions", "local rules", "training"):
        assert word in README.lower(), word
