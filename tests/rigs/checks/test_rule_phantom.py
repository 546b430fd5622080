"""Which principles phantom can hurt or which need it: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rigs.checks.findings import Severity
from rigs.checks.rules import (
    phantom_missing,
    phantom_on_ribbon,
    phantom_split,
    phantom_unneeded,
)
from tests.rigs.checks.laying import CONDENSER, DI, MIC, RIBBON, bench, entry, found, only, unit


def test_a_passive_ribbon_with_phantom_is_a_caution() -> None:
    finding = only(phantom_on_ribbon.check, entry("Edge", device=RIBBON, phantom=True))
    assert finding.title == "Edge: phantom power on a passive ribbon"
    assert finding.severity == Severity.CAUTION


def test_a_ribbon_without_and_others_with_are_no_finding() -> None:
    inputs = [
        entry("A", device=RIBBON),
        entry("B", device=MIC, phantom=True),
        entry("C", device=None),
    ]
    assert list(phantom_on_ribbon.check(bench(*inputs))) == []


def test_what_needs_phantom_and_has_none_is_a_caution() -> None:
    for device in (CONDENSER, DI):
        finding = only(phantom_missing.check, entry("In", device=device))
        assert finding.title == f"In: {device.name} needs phantom power, which is off"


def test_what_has_it_or_does_not_need_it_is_no_finding() -> None:
    inputs = [
        entry("A", device=CONDENSER, phantom=True),
        entry("B", device=MIC),
        entry("C", device=None),
    ]
    assert found(phantom_missing.check, *inputs) == []


def test_an_entry_that_contradicts_itself_is_told_and_stays_off() -> None:
    """A passive ribbon that “needs phantom power”: off is what harms nothing, and no finding asks
    to switch it on."""
    both = replace(RIBBON, needs_phantom=True)
    off = only(phantom_missing.check, entry("In", device=both))
    assert off.title == "In: Eskvane 4 is entered as a passive ribbon that needs phantom power"
    assert (off.severity, off.edits) == (Severity.LOOK, ())
    on = entry("In", device=both, phantom=True)
    assert found(phantom_missing.check, on) == []
    (edit,) = only(phantom_on_ribbon.check, on).edits
    assert edit.fields == {"phantom": False}


def test_what_is_proposed_switches_it_as_the_device_needs() -> None:
    (on,) = only(phantom_missing.check, entry("In", device=CONDENSER)).edits
    (off,) = only(phantom_unneeded.check, entry("In", device=MIC, phantom=True)).edits
    assert (on.fields, off.fields) == ({"phantom": True}, {"phantom": False})


def test_on_a_split_line_nothing_is_proposed() -> None:
    assert only(phantom_missing.check, entry("In", device=CONDENSER, line="split")).edits == ()


def test_another_ribbon_is_another_finding() -> None:
    other = replace(RIBBON, name="Eskvane 5")
    one, two = (
        only(phantom_on_ribbon.check, entry("Edge", device=d, phantom=True))
        for d in (RIBBON, other)
    )
    assert one.signature != two.signature


def test_phantom_that_nothing_needs_is_worth_a_look_and_a_ribbon_has_its_own_finding() -> None:
    finding = only(phantom_unneeded.check, entry("In", device=MIC, phantom=True))
    assert finding.title == "In: phantom power is on, and Hollow 2 does not need it"
    assert finding.severity == Severity.LOOK
    quiet = [
        entry("A", device=CONDENSER, phantom=True),
        entry("B", device=RIBBON, phantom=True),
        entry("C", device=MIC),
        entry("D", device=None, phantom=True),
    ]
    assert found(phantom_unneeded.check, *quiet) == []


@pytest.mark.parametrize("words", ["Box A 3, split to monitors", "via patchbay", "Y-cable"])
@pytest.mark.parametrize("where", ["line", "notes"])
def test_words_of_a_split_make_phantom_doubtful(where: str, words: str) -> None:
    said = {where: words}
    ribbon = only(phantom_split.check, entry("In", device=RIBBON, phantom=True, **said))
    other = only(phantom_split.check, entry("In", device=CONDENSER, phantom=True, **said))
    assert (ribbon.severity, other.severity) == (Severity.CAUTION, Severity.LOOK)
    assert found(phantom_split.check, entry("In", device=CONDENSER, **said)) == []


@pytest.mark.parametrize("words", ["Box A 3", "active split on the riser", "splitting headache"])
def test_other_words_make_nothing_doubtful(words: str) -> None:
    quiet = entry("In", device=CONDENSER, phantom=True, line=words)
    assert found(phantom_split.check, quiet) == []


def test_one_microphone_on_two_inputs_is_a_split() -> None:
    voice = unit("Voice", "voice")
    first = entry("Voice", voice, CONDENSER, phantom=True, line="Box A 3")
    second = entry("Voice to monitors", voice, CONDENSER, line="box A  3")
    finding = only(phantom_split.check, first, second)
    assert finding.parts == ("Voice", "Voice to monitors")
    for other in (replace(second, line="Box A 4"), replace(second, device=MIC)):
        assert found(phantom_split.check, first, other) == []
    unnumbered = [replace(each, line="Box A") for each in (first, second)]
    assert found(phantom_split.check, *unnumbered) == []
