"""Markers come from the folder a test lies in."""

from pathlib import Path

import pytest

_TIERS = ("unit", "verification", "property", "integration")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        folder = Path(item.path).relative_to(Path(__file__).parent).parts[0]
        if folder in _TIERS:
            item.add_marker(folder)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--verification-table",
        action="store_true",
        help="print case, source, expected, computed and error of every verification case",
    )
