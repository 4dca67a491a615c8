"""Furnace-brazing soak times, predicted: what to set, how long to hold, which joint rules, and how sure.

    >>> from brazesoak import plan          # doctest: +SKIP
    >>> plan("job.toml").hold_time          # doctest: +SKIP

The pipeline: job file -> assembly and trade data -> thermal model -> cells and faces -> temperatures -> answer.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .answer import Plan
    from .api import plan
    from .errors import BrazesoakError

__all__ = ["BrazesoakError", "Plan", "__version__", "plan"]
__version__ = "0.1.0"
_WHERE = {"Plan": "answer", "plan": "api", "BrazesoakError": "errors"}


def __getattr__(name: str) -> Any:
    """Import on first use: reading a job must not load the compiler."""
    if name not in _WHERE:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f".{_WHERE[name]}", __name__), name)
