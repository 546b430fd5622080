"""Ask every rule about one bench. Pure."""

from __future__ import annotations

import logging
from collections.abc import Iterable

from rigs.checks.bench import Bench
from rigs.checks.findings import Finding, Rule, Severity, Sure
from rigs.checks.registry import RULES

_log = logging.getLogger(__name__)
_ORDER = list(Severity)


def findings(bench: Bench, rules: Iterable[Rule] = RULES) -> list[Finding]:
    """What the rules find, gravest first. A rule that fails is reported, and stops nothing."""
    # Two strings of one pitch and gauge are one finding: nothing tells them apart.
    found = {each.signature: each for rule in rules for each in _ask(rule, bench)}
    return sorted(found.values(), key=lambda finding: _ORDER.index(finding.severity))


def _ask(rule: Rule, bench: Bench) -> list[Finding]:
    try:
        return list(rule.check(bench))
    except Exception:
        _log.exception("The check “%s” failed on rig %s", rule.key, bench.rig)
        return [_unable(rule)]


def _unable(rule: Rule) -> Finding:
    return Finding(
        rule.key,
        (),
        Severity.UNABLE,
        f"Could not be checked: {rule.asks}",
        "The check met something it was not made for. That says nothing about the rig.",
        "Tell whoever looks after this notebook; the log has the details.",
        Sure.CERTAIN,
    )
