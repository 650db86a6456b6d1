"""The command line's manners: exit statuses, messages, no traceback for what a user can mend."""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from types import SimpleNamespace

import pytest

from yieldopt import __version__, cli
from yieldopt.ground.errors import CheckFailed, InputError, Problem, UsageError, YieldoptError


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch):
    """A command line with one command, `fail`, that raises what the test hands in."""

    def install(error: BaseException) -> None:
        def run(args: argparse.Namespace) -> int:
            raise error

        module = SimpleNamespace(HELP="fails", add_arguments=lambda parser: None, run=run)
        monkeypatch.setattr(cli, "COMMANDS", ("fail",))
        monkeypatch.setattr(cli.importlib, "import_module", lambda name: module)

    return install


def test_input_mistakes_are_listed_all_at_once_and_exit_2(failing, capsys: pytest.CaptureFixture[str]) -> None:
    failing(
        InputError(
            [Problem("parts.csv", 3, "width", "wide", "a length"), Problem("job.toml", None, "kerf.rip", None, "a length")]
        )
    )
    assert cli.main(["fail"]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.splitlines() == [
        "2 mistakes in the input; nothing was written:",
        "  parts.csv, row 3, width: found 'wide', expected a length",
        "  job.toml, kerf.rip: found nothing, expected a length",
    ]


@pytest.mark.parametrize(
    ("error", "status", "said"),
    [
        (UsageError("there is no folder x"), 2, "yieldopt: there is no folder x"),
        (CheckFailed(["B1: too thin"]), 4, "B1: too thin"),
        (FileNotFoundError(2, "No such file or directory", "gone"), 2, "yieldopt: gone: it is not there"),
        (KeyboardInterrupt(), 130, "stopped"),
    ],
    ids=["usage", "check", "file", "ctrl-c"],
)
def test_other_errors_have_their_status_and_no_traceback(failing, capsys, error: BaseException, status: int, said: str) -> None:
    failing(error)
    assert cli.main(["fail"]) == status
    printed = capsys.readouterr().err
    assert said in printed
    assert "Traceback" not in printed


def test_our_own_bugs_keep_their_traceback(failing) -> None:
    failing(RuntimeError("ours"))
    with pytest.raises(RuntimeError, match="ours"):
        cli.main(["fail"])


def test_every_error_of_the_package_has_a_status_and_one_base() -> None:
    def below(cls: type[YieldoptError]) -> list[type[YieldoptError]]:
        return [cls, *(c for sub in cls.__subclasses__() for c in below(sub))]

    for cls in below(YieldoptError):
        assert cls.exit_status in (2, 4), cls
        assert cls.__doc__, cls


@pytest.mark.parametrize("name", cli.COMMANDS)
def test_every_command_has_help_in_one_plain_sentence(name: str) -> None:
    module = cli.importlib.import_module(f"yieldopt.commands.{name}")
    assert re.fullmatch(r"[A-Za-z].{10,140}", module.HELP), module.HELP
    assert callable(module.run)


def test_version_as_a_module() -> None:
    done = subprocess.run([sys.executable, "-m", "yieldopt", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == f"yieldopt {__version__}"


def test_an_unknown_command_exits_2(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stop:
        cli.main(["no-such-command"])
    assert stop.value.code == 2


@pytest.mark.parametrize("command", [["wood"], ["wood", "cherry"]], ids=["long", "short"])
def test_a_reader_who_leaves_early_draws_no_complaint(command: list[str]) -> None:
    """As `yieldopt wood | head -n 1` does."""
    words = [sys.executable, "-m", "yieldopt", *command]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 141
