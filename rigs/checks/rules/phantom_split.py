"""Phantom power on a line that goes to more than one place, or through a patchbay.

Splits of microphone lines have no record of their own. What there is: the words of an input's cable
or stage box and of its notes, and two inputs with one device on one source and one line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.words import all_of
from rigs.checks.bench import Bench, BenchInput
from rigs.checks.channels import numbered_line
from rigs.checks.figures import Figure
from rigs.checks.findings import Certainty, Finding, Rule, Severity

KEY = "phantom_split"
WHY = gettext_lazy(
    "Through a passive split phantom power from either desk reaches the "
    "microphone, whatever the other says; through a transformer it reaches "
    "it from one side alone. A patchbay shorts the line for a moment while a "
    "plug goes in, which sends the full voltage across a ribbon."
)
MEND = gettext_lazy(
    "Agree which desk gives phantom power, switch it at that one alone, and "
    "patch with it off. A passive ribbon stays off any such line with "
    "phantom power, or gets a splitter that blocks it."
)
_SPLIT = re.compile(
    r"\b(?:split(?:s|ter|ters)?|y[- ](?:cable|lead|split)|patch(?:ed)?|patch[- ]?bays?)\b", re.I
)
_ACTIVE = re.compile(r"\bactive(?:ly)?[- ]split", re.I)


def check(bench: Bench) -> Iterator[Finding]:
    for entry in bench.inputs:
        if entry.phantom and entry.device is not None and (words := _split_words(entry)):
            yield _finding((entry,), words)
    for inputs in _shared(bench):
        if any(entry.phantom for entry in inputs):
            yield _finding(tuple(inputs), inputs[0].line)


def split_lines(bench: Bench) -> set[str]:
    """The ids of inputs whose line goes to more than one place, or through a patch."""
    stated = {entry.id for entry in bench.inputs if _split_words(entry)}
    return stated | {entry.id for inputs in _shared(bench) for entry in inputs}


def _split_words(entry: BenchInput) -> str:
    """The word that tells of a split or a patch; empty where there is none."""
    for words in (entry.line, entry.notes):
        match = _SPLIT.search(words)
        if match and not _ACTIVE.search(words):
            return match[0]
    return ""


def _shared(bench: Bench) -> list[list[BenchInput]]:
    """Inputs with one device on one source and one numbered line: one microphone that is split."""
    lines: dict[tuple[str, str, frozenset[str]], list[BenchInput]] = {}
    for entry in bench.inputs:
        line = numbered_line(entry.line)
        if entry.device and entry.units and line:
            lines.setdefault((line, entry.device.id, entry.unit_ids), []).append(entry)
    return [inputs for inputs in lines.values() if len(inputs) > 1]


def _finding(inputs: tuple[BenchInput, ...], words: str) -> Finding:
    names = all_of(entry.name for entry in inputs)
    device = inputs[0].device
    ribbon = device is not None and device.principle == "ribbon"
    return Finding(
        KEY,
        tuple(entry.id for entry in inputs),
        Severity.CAUTION if ribbon else Severity.LOOK,
        _("{names}: phantom power on a line that is split or patched (“{words}”)").format(
            names=names, words=words
        ),
        str(WHY),
        str(MEND),
        Certainty.THUMB,
        (Figure(_("line"), words), Figure(_("device"), device.name if device else "")),
        (
            _(
                "That the line is split or patched is read from words: nobody has "
                "recorded the split."
            ),
        ),
    )


RULE = Rule(
    KEY, gettext_lazy("Does a passive split or a patch make phantom power doubtful?"), check
)
