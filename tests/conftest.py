"""What every test shares. Being here puts this folder on the import path, so that tests can `import strategies`."""

import os
from collections import Counter

import pytest
from hypothesis import HealthCheck, Phase, settings
from seeds import SEED

_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example]

# Quick is the same every time, unless a seed is given, and leaves a failure as it was found, since shrinking a whole job takes
# minutes. Long looks further, on demand: YIELDOPT_TESTS=long pytest tests/...
settings.register_profile("quick", max_examples=30, deadline=None, derandomize=not SEED, suppress_health_check=_SLOW,
                          phases=[Phase.explicit, Phase.reuse, Phase.generate], print_blob=True)
settings.register_profile("long", max_examples=400, deadline=None, suppress_health_check=_SLOW, print_blob=True)
settings.load_profile(os.environ.get("YIELDOPT_TESTS", "quick"))


def pytest_configure(config: pytest.Config) -> None:
    """Compiles the planner's kernels once, before several workers would each do it (a minute of a core where nothing is kept)."""
    if config.getoption("numprocesses", None) and not hasattr(config, "workerinput") and not config.option.collectonly:
        from yieldopt.planning.warming import warm

        warm()


def pytest_report_header() -> str:
    again = f"repeat with YIELDOPT_SEED={SEED} and --hypothesis-seed={SEED}"
    return f"drawn from seed {SEED}: {again}" if SEED else "drawn the same as every time (no YIELDOPT_SEED)"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """One line at the end: which tests could not run here, and for want of what."""
    skipped = [r.longrepr for r in terminalreporter.stats.get("skipped", [])]
    reasons = Counter(str(r[2] if isinstance(r, tuple) else r).removeprefix("Skipped: ") for r in skipped)
    if reasons:
        words = "; ".join(f"{n} ({why})" for why, n in reasons.most_common())
        terminalreporter.write_line(f"Not run here: {words}.", yellow=True)
