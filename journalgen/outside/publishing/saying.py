"""What publishing will do, and what it did, said to people."""

from __future__ import annotations

from collections.abc import Iterator

from journalgen.outside.publishing.plan import CHANGE, REMOVE, SEND, Plan
from journalgen.outside.publishing.sending import Sent
from journalgen.terminal import spell_size


def step_lines(plan: Plan) -> Iterator[str]:
    """A line for every step, in order: what is done, to which file, and how many bytes that sends."""
    for step in plan.steps:
        yield f"{step.do} {step.name}" + (f" {step.size}" if step.local else "")


def plan_line(plan: Plan, target: str) -> str:
    """What is to be done, in one sentence."""
    if not plan.steps:
        return f"{target} has all of it already."
    sent, changed, removed = (len(plan.phase(do)) for do in (SEND, CHANGE, REMOVE))
    return f"To {target}: {sent} to send, {changed} to change, {removed} to remove; {spell_size(plan.size)}."


def sent_line(sent: Sent) -> str:
    """How far it came."""
    if not sent.done:
        return "Nothing was sent."
    removed = sum(step.do == REMOVE for step in sent.done)
    gone = f", {removed} removed" if removed else ""
    many = len(sent.of.steps) - len(sent.of.phase(REMOVE))
    return f"{len(sent.done) - removed} of {many} files sent{gone}, {spell_size(sent.bytes)}."
