"""What may stand on a page: texts between the tags of templates, in the code and in scripts."""

from __future__ import annotations

import ast
import html
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from tests.support.loaded import ROOT

APPS = ("core", "rigs", "notes")
_COMMENT = re.compile(r"\{#.*?#\}|\{% comment %\}.*?\{% endcomment %\}|<!--.*?-->", re.DOTALL)
_IN_TAG = re.compile(r"\{%.*?%\}|<[^>]*>", re.DOTALL)
_QUOTED = re.compile(r"\"([^\"{}]*)\"|'([^'{}]*)'|`([^`]*)`")
# What a variable stands for is not known: there a text ends, and another begins.
_BETWEEN = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\$\{.*?\}|<[^>]*>", re.DOTALL)


def tidy(text: str) -> str:
    """One spelling of apostrophes, one space between words, nothing around it."""
    return " ".join(html.unescape(text).replace("'", "’").split()).strip(" :;,.…")


@cache
def labels() -> frozenset[str]:
    """Each in the spelling of `tidy`, with a capital and as written; also the words before a colon
    or comma, by which a long label is called."""
    texts = {text for app in APPS for text in _of_app(ROOT / app)}
    called = texts | {re.split(r"[:,] ", text)[0] for text in texts}
    tidied = {tidy(text) for text in called} - {""}
    return frozenset(tidied | {text[0].upper() + text[1:] for text in tidied})


def _of_app(folder: Path) -> Iterator[str]:
    for path in sorted(folder.rglob("*.html")):
        yield from _of_template(path.read_text("utf-8"))
    for path in sorted(folder.rglob("*.py")):
        if "migrations" not in path.parts and "demo" not in path.parts:
            yield from _of_module(path.read_text("utf-8"))
    for path in sorted(folder.rglob("*.js")):
        for found in _QUOTED.findall(path.read_text("utf-8")):
            yield from _BETWEEN.split("".join(found))


def _of_template(source: str) -> Iterator[str]:
    source = _COMMENT.sub("", source)
    yield from _BETWEEN.split(source)
    for tag in _IN_TAG.findall(source):
        yield from ("".join(found) for found in _QUOTED.findall(tag))


def _of_module(source: str) -> Iterator[str]:
    tree = ast.parse(source)
    comments = {
        id(node.value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and id(node) not in comments:
            yield from [node.value] if isinstance(node.value, str) else []
        if isinstance(node, ast.Assign) and _is_field(node.value):
            # Without a label of its own it is called by its name.
            names = [each.id for each in node.targets if isinstance(each, ast.Name)]
            yield from (name.replace("_", " ") for name in names)


def _is_field(value: ast.expr) -> bool:
    return isinstance(value, ast.Call) and ast.unparse(value.func).endswith("Field")
