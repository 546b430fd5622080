"""Short ways to lay a rig out for a rule, and to read what it found."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any

from rigs.checks.bench import Bench, BenchDevice, BenchInput, BenchLink, BenchUnit
from rigs.checks.findings import Finding, Severity
from rigs.checks.points import point

MIC = BenchDevice("mic", "Hollow 2", "mic", "dynamic", sensitivity=0.002, max_spl=150.0)
CONDENSER = BenchDevice("c", "Selvage C", "mic", "condenser", True, 0.02, 130.0)
RIBBON = BenchDevice("r", "Eskvane 4", "mic", "ribbon")
DI = BenchDevice("di", "Straight Line A", "di", "di_active", True, impedance=1e6)


def unit(name: str, gear: str = "other", tuning: str = "", **facts: float) -> BenchUnit:
    return BenchUnit(name, name, gear, tuning, facts)


def entry(name: str, on: BenchUnit | None = None, device: BenchDevice = MIC, **more: Any) -> Any:
    return BenchInput(name, name, on, device, **more)


def cable(
    source: str,
    target: str,
    carries: str = "instrument",
    length: float | None = None,
    words: str = "",
) -> BenchLink:
    return BenchLink(f"{source}-{target}", source, target, carries, length, words)


def bench(*parts: Any, celsius: float | None = None) -> Bench:
    units = {part.id: part for part in parts if isinstance(part, BenchUnit)}
    links = tuple(part for part in parts if isinstance(part, BenchLink))
    inputs = tuple(part for part in parts if isinstance(part, BenchInput))
    for each in inputs:
        if each.unit:
            units.setdefault(each.unit.id, each.unit)
    names = {each.id: each.name for each in units.values()}
    placed = tuple(
        replace(each, point=point(each.reference, each.unit.id if each.unit else "", names))
        for each in inputs
    )
    return Bench("rig", units, links, placed, celsius)


Check = Callable[[Bench], Iterable[Finding]]


def found(check: Check, *parts: Any, **more: Any) -> list[Finding]:
    return list(check(bench(*parts, **more)))


def only(check: Check, *parts: Any, **more: Any) -> Finding:
    (finding,) = found(check, *parts, **more)
    return finding


def value(finding: Finding, label: str) -> Any:
    (figure,) = (figure for figure in finding.figures if figure.label == label)
    return figure.value


def missing(finding: Finding) -> Any:
    assert finding.severity == Severity.NOT_MEASURED
    return value(finding, "missing")
