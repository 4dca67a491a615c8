"""The program to be keyed in, line by line, as the printed answer and the run card tell it."""

from __future__ import annotations

from dataclasses import replace

from brazesoak.answer import ProgramStep
from brazesoak.report import format as fmt

COUNTED = "counted from when "
"""How the note of the hold at the set-point begins."""
FALLS_BEHIND = 1.25
"""A ramp that takes so many times as long as it was set to is told as one that the furnace cannot keep."""
AS_FAST = "as fast as the furnace can"


def is_kept(step: ProgramStep) -> bool:
    """Whether the furnace keeps a ramp, as far as that is known."""
    if step.rate is None or step.duration is None or step.takes is None:
        return step.rate is not None
    return step.takes <= FALLS_BEHIND * step.duration


def program_cells(step: ProgramStep) -> tuple[str, str, str, str, str]:
    """Action, temperature, rate, duration and note of a line of the program; empty where there is none."""
    rate, time, note = _ramp(step) if step.action == "ramp" else ("", _time(step.duration), "")
    return (
        {"ramp": "Ramp to", "hold": "Hold at", "off": "Switch off"}.get(step.action, step.action),
        "" if step.temperature is None else fmt.temperature_text(step.temperature),
        rate,
        time,
        "; ".join(text for text in (note, fmt.typeset(step.note)) if text),
    )


def _ramp(step: ProgramStep) -> tuple[str, str, str]:
    """Rate, duration and, where the furnace does not keep it, that it does not."""
    if is_kept(step):
        return fmt.ramp_text(step.rate), _time(step.duration), ""
    about = f"about {fmt.minutes(step.takes)}" if step.takes is not None else ""
    if step.rate is None:
        return "full power", about, ""
    return fmt.ramp_text(step.rate), about, AS_FAST


def program_sentence(step: ProgramStep) -> str:
    """A line of the program in words, for example ``Ramp to 520 °C at 8 °C/min, 1 h 3 min``."""
    action, temperature, rate, time, note = program_cells(step)
    text = f"{action} {temperature}".strip()
    if step.action == "ramp" and not is_kept(step):
        key = "full power" if step.rate is None else rate
        time, note = time or "", "; ".join(n for n in (f"key in {key}", fmt.typeset(step.note)) if n)
        text += f" {AS_FAST}"
    else:
        text += f" at {rate}" if rate else ""
    text += "" if not time else f", {time}" if step.action == "ramp" else f" for {time}"
    return text + (f" ({note})" if note else "")


def counted_above(step: ProgramStep) -> ProgramStep:
    """The hold at the set-point where it has been told before from when it is counted."""
    if not step.note.startswith(COUNTED):
        return step
    return replace(step, note=step.note.partition("; ")[2])


def _time(duration: float | None) -> str:
    return "" if duration is None else fmt.minutes(duration)
