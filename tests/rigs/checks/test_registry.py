"""The registry, the page in docs, and what the rules may not know."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

import rigs.checks.rules
import rigs.checks.stage_rules
from rigs.checks.findings import Rule
from rigs.checks.registry import RULES, STAGE_RULES

ROOT = Path(__file__).parents[3]
PAGE = ROOT / "docs" / "findings.md"
KINDS: dict[str, tuple[ModuleType, tuple[Rule[Any], ...]]] = {
    "rules": (rigs.checks.rules, RULES),
    "stage_rules": (rigs.checks.stage_rules, STAGE_RULES),
}
FILES = [
    f"{kind}.{info.name}"
    for kind, (package, _) in KINDS.items()
    for info in pkgutil.iter_modules(package.__path__)
]
ALL: tuple[Rule[Any], ...] = (*RULES, *STAGE_RULES)


def test_every_file_is_listed_under_its_own_name() -> None:
    listed = [f"{kind}.{rule.key}" for kind, (_, rules) in KINDS.items() for rule in rules]
    assert sorted(listed) == sorted(FILES)


def test_the_page_tells_of_every_rule_and_of_no_other() -> None:
    told = {line.split("`")[1] for line in PAGE.read_text().splitlines() if line.startswith("## `")}
    assert told == {rule.key for rule in ALL}


def test_every_rule_asks_a_question() -> None:
    assert all(rule.asks.endswith("?") for rule in ALL)


@pytest.mark.parametrize("name", FILES)
def test_a_rule_is_short(name: str) -> None:
    source = inspect.getsource(importlib.import_module(f"rigs.checks.{name}"))
    assert len(source.splitlines()) < 160


def test_the_rules_need_no_database() -> None:
    # Of Django they know the translations alone.
    code = (
        "import rigs.checks.run, rigs.checks.build, sys; "
        "sys.exit(bool({'django.db', 'core.models', 'rigs.models'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=False).returncode == 0
