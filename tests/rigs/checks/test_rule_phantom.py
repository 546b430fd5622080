"""Which principles phantom can hurt or which need it: common practice, no source."""

from __future__ import annotations

from dataclasses import replace

from rigs.checks.findings import Severity
from rigs.checks.rules import phantom_missing, phantom_on_ribbon
from tests.rigs.checks.laying import CONDENSER, DI, MIC, RIBBON, bench, entry, found, only


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


def test_another_ribbon_is_another_finding() -> None:
    other = replace(RIBBON, name="Eskvane 5")
    one, two = (
        only(phantom_on_ribbon.check, entry("Edge", device=d, phantom=True))
        for d in (RIBBON, other)
    )
    assert one.signature != two.signature
