"""The package as a whole: on its own, documented, and the page in docs complete."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import rigs.signal

PAGE = Path(__file__).parents[3] / "docs" / "signal.md"
MODULES = [info.name for info in pkgutil.iter_modules(rigs.signal.__path__) if info.name[0] != "_"]


def _public() -> Iterator[tuple[str, Callable[..., object]]]:
    for name in MODULES:
        module = importlib.import_module(f"rigs.signal.{name}")
        for label, thing in inspect.getmembers(module, inspect.isfunction):
            if thing.__module__ == module.__name__ and label[0] != "_":
                yield f"{name}.{label}", thing


PUBLIC = dict(_public())


@pytest.mark.parametrize("name", PUBLIC)
def test_docstring_states_source_and_errors(name: str) -> None:
    text = inspect.getdoc(PUBLIC[name]) or ""
    assert "Source" in text
    assert "ange" in text  # "Range:" or "range and errors:"
    assert "ValueError" in text


def test_page_lists_every_function_and_no_other() -> None:
    page = PAGE.read_text()
    rows = {line.split("`")[1] for line in page.splitlines() if line.startswith("| `")}
    assert rows == set(PUBLIC)


def test_package_needs_no_django() -> None:
    lines = [f"import rigs.signal.{name}" for name in MODULES]
    lines += ["import sys", "sys.exit('django' in sys.modules or 'scipy' in sys.modules)"]
    done = subprocess.run(
        [sys.executable, "-c", "\n".join(lines)], cwd=PAGE.parents[1], check=False
    )
    assert done.returncode == 0


@pytest.mark.parametrize("name", MODULES)
def test_modules_stay_short(name: str) -> None:
    source = inspect.getsource(importlib.import_module(f"rigs.signal.{name}"))
    assert len(source.splitlines()) < 200
