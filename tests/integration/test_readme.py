"""The README shows what the program prints."""

import re
from pathlib import Path

import pytest

from brazesoak.cli import main

ROOT = Path(__file__).parents[2]


def test_the_readme_shows_the_real_output(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    """Line by line up to the mark of what is left out; run as the README says, from the top of the checkout."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    (shown,) = re.findall(r"<!-- output of examples/01_bearing_pedestal -->\n```\n(.*?)\n\.\.\.\n```", text, re.DOTALL)
    monkeypatch.chdir(ROOT)
    assert main(["plan", "examples/01_bearing_pedestal/job.toml", "--no-files"]) == 0
    assert capsys.readouterr().out.startswith(shown + "\n")
