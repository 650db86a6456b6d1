"""Every error a user may meet prints as one whole message; the set of them is walked, so that a new one can't print badly."""

from __future__ import annotations

import importlib
import pickle
import pkgutil

import pytest

import yieldopt
from yieldopt.ground.errors import CheckFailed, InputError, LengthError, Problem, UsageError, YieldoptError


def subclasses(of: type[YieldoptError]) -> set[type[YieldoptError]]:
    return {of}.union(*(subclasses(c) for c in of.__subclasses__()))


@pytest.mark.parametrize(
    ("problem", "message"),
    [
        (Problem("parts.csv", 3, "width", "x", "a length"), "parts.csv, row 3, width: found 'x', expected a length"),
        (Problem("parts.csv", 3, None, "x", "a length"), "parts.csv, row 3: found 'x', expected a length"),
        (Problem("job.toml", None, "kerf.rip", "x", "a length"), "job.toml, kerf.rip: found 'x', expected a length"),
        (Problem("parts.csv", None, None, None, "the file"), "parts.csv: found nothing, expected the file"),
        (Problem("a", None, None, "y" * 61, "less"), f"a: found '{'y' * 59}…', expected less"),
        (Problem("a", None, None, "y" * 60, "less"), f"a: found '{'y' * 60}', expected less"),
        (Problem("a", None, None, "\x07\n", "less"), "a: found '\\x07\\n', expected less"),
        (Problem("a", None, None, "", "more"), "a: found '', expected more"),
    ],
)
def test_a_problem_says_where_what_and_what_instead(problem: Problem, message: str) -> None:
    assert str(problem) == message


def test_an_input_error_holds_all_problems_one_a_line() -> None:
    problems = [Problem("a.csv", 2, "x", "1", "2"), Problem("b.csv", None, None, None, "rows")]
    error = InputError(problems)
    assert str(error) == "a.csv, row 2, x: found '1', expected 2\nb.csv: found nothing, expected rows"
    assert error.problems == tuple(problems)
    assert error.exit_status == 2


def test_a_length_error_names_what_it_found() -> None:
    error = LengthError("7,5", "a length")
    assert (str(error), error.found, error.expected) == ("found '7,5', expected a length", "7,5", "a length")
    assert isinstance(error, ValueError)


def test_a_failed_check_is_called_our_bug() -> None:
    error = CheckFailed(["one", "two"])
    assert str(error) == "the plan failed its independent check; this is a bug in yieldopt, please report it:\n  one\n  two"
    assert (error.exit_status, error.breaches) == (4, ("one", "two"))


def test_a_usage_error_is_its_message() -> None:
    assert (str(UsageError("no such plan")), UsageError.exit_status) == ("no such plan", 2)


def test_every_error_of_the_package_has_an_exit_status_and_says_what_it_is() -> None:
    for module in pkgutil.walk_packages(yieldopt.__path__, "yieldopt."):
        if not module.name.endswith("__main__") and ".migrations" not in module.name:
            importlib.import_module(module.name)
    for error in subclasses(YieldoptError) - {YieldoptError}:
        assert error.exit_status in (1, 2, 3, 4), error
        assert (error.__doc__ or "").strip(), error


def test_the_errors_of_the_core_double_as_what_a_caller_would_expect() -> None:
    core = {e for e in subclasses(YieldoptError) if e.__module__ == "yieldopt.ground.errors"} - {YieldoptError}
    assert all(issubclass(e, ValueError | AssertionError) for e in core)
    assert len(core) >= 4


def test_a_refused_plan_is_told_alike_by_another_process() -> None:
    """Errors cross between processes pickled, and are made again of their arguments."""
    error = CheckFailed(["[109] part rail: found 1", "[816] totals: found 2"])
    there = pickle.loads(pickle.dumps(error))
    assert (there.breaches, str(there)) == (error.breaches, str(error))
