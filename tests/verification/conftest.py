"""`record` compares with a reference value and keeps the row for the verification table."""

from collections.abc import Callable

import pytest

_ROWS = pytest.StashKey[list[tuple[str, str, float, float, float, str]]]()


def pytest_configure(config: pytest.Config) -> None:
    config.stash[_ROWS] = []


@pytest.fixture
def record(request: pytest.FixtureRequest) -> Callable[..., None]:
    """Assert that |computed - expected| <= tolerance and keep the row."""

    def compare(case: str, source: str, expected: float, computed: float, unit: str = "", *, tolerance: float) -> None:
        expected, computed = float(expected), float(computed)
        request.config.stash[_ROWS].append((case, source, expected, computed, tolerance, unit))
        assert abs(computed - expected) <= tolerance, (
            f"{case}: computed {computed:.10g} {unit}, expected {expected:.10g} +- {tolerance:.3g} ({source})"
        )

    return compare


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    rows = config.stash.get(_ROWS, [])
    if not config.getoption("--verification-table") or not rows:
        return
    write = terminalreporter.write_line
    terminalreporter.section("verification against the world outside")
    write(f"{'case':<22}{'expected':>16}{'computed':>16}{'error':>11}{'allowed':>10} {'unit':<8} source")
    for case, source, expected, computed, tolerance, unit in sorted(rows, key=lambda r: r[0]):
        error = computed - expected
        write(f"{case:<22}{expected:>16.9g}{computed:>16.9g}{error:>11.1e}{tolerance:>10.1e} {unit:<8} {source}")
    write(f"{len(rows)} comparisons")
