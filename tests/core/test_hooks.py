"""Hooks: who is plugged in where, and that there is one seam and no other."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from core import places as core_places
from core.hooks import Hook, hooks_of
from notes import places as notes_places
from rigs import places as rigs_places

ROOT = Path(__file__).parents[2]
PLACES = {"core": core_places, "rigs": rigs_places, "notes": notes_places}


def test_answers_come_in_the_order_of_adding_and_none_is_left_out() -> None:
    hook: Hook[[int], int] = Hook("a place of the test")
    hook.add(lambda number: number + 1, lambda number: None)
    hook.add(lambda number: number + 2)
    assert hook.call(10) == [11, 12]


def test_a_provider_is_added_only_once() -> None:
    hook: Hook[[], str] = Hook("a place of the test")

    def provider() -> str:
        return "here"

    hook.add(provider, provider)
    hook.add(provider)
    assert hook.call() == ["here"]


def test_after_the_first_answer_nobody_is_asked() -> None:
    hook: Hook[[], str] = Hook("a place of the test")
    asked = []

    def ask(name: str, answer: str | None) -> str | None:
        asked.append(name)
        return answer

    assert hook.first() is None
    hook.add(lambda: ask("a", None), lambda: ask("b", "yes"), lambda: ask("c", "no"))
    assert hook.first() == "yes"
    assert asked == ["a", "b"]


def test_the_architecture_lists_who_is_plugged_in_where() -> None:
    table = "\n".join(
        ["| place | what for | who is plugged in, in order |", "|---|---|---|", *_rows()]
    )
    assert table in (ROOT / "docs/architecture.md").read_text("utf-8"), (
        f"docs/architecture.md should have this table:\n\n{table}\n"
    )


def _rows() -> Iterator[str]:
    for app, module in PLACES.items():
        for name, hook in hooks_of(module).items():
            who = ", ".join(f"`{each.__module__}.{each.__name__}`" for each in hook.providers)
            yield f"| `{app}` {name} | {hook.about} | {who or 'nobody yet'} |"


def test_there_is_no_other_seam() -> None:
    """Hooks are declared in `places`, filled in `apps`; Django's signals are those of models."""
    own_signal = re.compile(r"\bSignal\(|def register\w*\((?!kind)|\bHook\(|\b[A-Z_]+\.add\(\w+\.")
    found = {
        f"{path.relative_to(ROOT)}: {line.strip()}"
        for app in ("core", "rigs", "notes")
        for path in (ROOT / app).rglob("*.py")
        if path.name not in ("hooks.py", "places.py", "apps.py")
        for line in path.read_text("utf-8").splitlines()
        if own_signal.search(line)
    }
    assert found == set()
