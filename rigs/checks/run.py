"""Ask every rule about one bench, or about one stage. Pure."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from rigs.checks.bench import Bench
from rigs.checks.findings import Certainty, Finding, Laid, Rule, Severity
from rigs.checks.registry import RULES, STAGE_RULES
from rigs.checks.stage import Stage

_log = logging.getLogger(__name__)
_ORDER = list(Severity)


def findings(bench: Bench, rules: Iterable[Rule[Bench]] = RULES) -> list[Finding]:
    """What the rules find on a rig, gravest first."""
    return _ask_all(rules, bench, f"rig {bench.rig}")


def stage_findings(stage: Stage, rules: Iterable[Rule[Stage]] = STAGE_RULES) -> list[Finding]:
    """What the rules find on the stage of a show, gravest first."""
    return _ask_all(rules, stage, f"show {stage.show}")


def _ask_all(rules: Iterable[Rule[Laid]], laid: Laid, name: str) -> list[Finding]:
    """The findings of all rules. A rule that fails is reported and does not stop the others."""
    # Two strings of one pitch and gauge are one finding: nothing tells them apart.
    by_signature = {each.signature: each for rule in rules for each in _ask(rule, laid, name)}
    # Sorting keeps the order of the registry among findings of one severity.
    return sorted(by_signature.values(), key=lambda finding: _ORDER.index(finding.severity))


def _ask(rule: Rule[Laid], laid: Laid, name: str) -> list[Finding]:
    try:
        return list(rule.check(laid))
    # Whatever it is: one rule that fails on one odd rig must not take the page, or the other rules,
    # away.
    except Exception:
        _log.exception("The check “%s” failed on %s", rule.key, name)
        return [_unable(rule)]


def _unable(rule: Rule[Any]) -> Finding:
    return Finding(
        rule.key,
        (),
        Severity.UNABLE,
        _("Could not be checked: {question}").format(question=rule.asks),
        _("The check met something it was not made for. That says nothing about the rig."),
        _("Tell whoever looks after this notebook; the log has the details."),
        Certainty.CERTAIN,
    )
