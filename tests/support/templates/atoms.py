"""A template in pieces that no line break may part."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from tests.support.templates.elements import (
    BLOCK_LEVEL,
    BRANCHES,
    KEEP_LINES,
    NOT_AS_BLOCK,
    VERBATIM,
    VOID,
)

STEP = 2  # spaces for each open element or block
INSIDE_TAG = 4  # further spaces where a line begins inside a tag

_DJANGO = re.compile(r"\{%.*?%\}|\{\{.*?\}\}|\{#.*?#\}")
_VERBATIM = re.compile(rf"<({'|'.join(VERBATIM)})\b.*?</\1\s*>", re.S | re.I)
_MARKUP = re.compile(r"<!--.*?-->|<![^>]*>", re.S)
_CLOSE = re.compile(r"</([a-zA-Z][\w-]*)(\s*)>")
_OPEN = re.compile(r"<([a-zA-Z][\w-]*)")
SPACE = re.compile(r"\s+")
_WORD = re.compile(r"(?:(?!\{[%{#])(?!<[a-zA-Z/!])\S)+")


@dataclass
class Atom:
    """A piece of a template that no line break may part, and the white space before it.

    Kinds: word, variable, comment, block (a tag of Django), open, close, verbatim, markup; of an
    opening tag in several pieces the first is open, the others attribute.
    """

    kind: str
    text: str
    gap: str  # the white space before it, as it was written
    name: str = ""  # of the element or of Django's tag
    tag: str = ""  # all of the opening tag, for its first piece
    ends_tag: bool = False  # the last piece of an opening tag
    depth: int = 0  # elements and blocks open around it
    keeps_lines: bool = False  # line breaks before it would show
    loose: bool = False  # white space may be put before it where there is none
    opener: Atom | None = None  # of a piece of a tag, a branch or an end: what it belongs to
    starts: bool = False  # opens an element or a block that has an end

    @property
    def lines_before(self) -> int:
        return self.gap.count("\n")

    @property
    def is_block_level(self) -> bool:
        if self.kind == "block" and self.name in ("sentence", "endsentence"):
            return True  # it takes white space away at both ends
        if self.kind not in ("open", "close"):
            return False
        return self.name in BLOCK_LEVEL and not any(word in self.tag for word in NOT_AS_BLOCK)

    @property
    def closes(self) -> bool:
        return self.kind == "close" or (
            self.kind == "block" and (self.name.startswith("end") or self.name in BRANCHES)
        )

    @property
    def indent(self) -> int:
        deeper = INSIDE_TAG if self.kind == "attribute" and self.text != ">" else 0
        return STEP * self.depth + deeper


class Unreadable(ValueError):
    """The template is not written as this module expects; the message says where."""


def pieces(source: str) -> Iterator[Atom]:
    at, gap = 0, ""
    while at < len(source):
        if space := SPACE.match(source, at):
            gap, at = space[0], space.end()
            continue
        if found := _DJANGO.match(source, at):
            yield _django_atom(found[0], gap)
        elif found := _VERBATIM.match(source, at):
            yield Atom("verbatim", found[0], gap, name=found[1].lower())
        elif found := _MARKUP.match(source, at):
            yield Atom("markup", found[0], gap)
        elif found := _CLOSE.match(source, at):
            yield Atom("close", f"</{found[1]}>", gap, name=found[1].lower())
        elif found := _OPEN.match(source, at):
            end = _end_of_tag(source, at)
            yield from _tag_atoms(source[at:end], gap, found[1].lower())
            at, gap = end, ""
            continue
        elif found := _WORD.match(source, at):
            yield Atom("word", found[0], gap)
        else:
            raise Unreadable(f"line {source.count(chr(10), 0, at) + 1}: {source[at : at + 30]!r}")
        at, gap = found.end(), ""


def _django_atom(text: str, gap: str) -> Atom:
    kind = {"%": "block", "{": "variable", "#": "comment"}[text[1]]
    name = text[2:-2].split()[0] if kind == "block" else ""
    return Atom(kind, text, gap, name=name, tag=text)


def _end_of_tag(source: str, at: int) -> int:
    """Where the opening tag ends that begins at `at`: not at a `>` in a value or a Django tag."""
    quote, start = "", at
    while at < len(source):
        if found := _DJANGO.match(source, at):
            at = found.end()
            continue
        letter = source[at]
        if quote:
            quote = "" if letter == quote else quote
        elif letter in "\"'":
            quote = letter
        elif letter == ">":
            return at + 1
        at += 1
    raise Unreadable(f"line {source.count(chr(10), 0, start) + 1}: a tag without an end")


def _tag_atoms(tag: str, gap: str, name: str) -> Iterator[Atom]:
    """The opening tag, parted at the white space between its attributes."""
    parts, gaps, at, start, quote = [], [gap], 0, 0, ""
    while at < len(tag):
        if found := _DJANGO.match(tag, at):
            at = found.end()
            continue
        if not quote and (space := SPACE.match(tag, at)):
            parts.append(tag[start:at])
            gaps.append(space[0])
            at = start = space.end()
            continue
        if tag[at] in "\"'" and (not quote or quote == tag[at]):
            quote = "" if quote else tag[at]
        at += 1
    parts.append(tag[start:])
    # A `>` on a line of its own stays there; after a mere space it joins the attribute before it.
    if parts[-1] == ">" and "\n" not in gaps[-1]:
        last, gaps = parts.pop(), gaps[:-1]
        parts[-1] += last
    first = Atom("open", parts[0], gaps[0], name, tag, ends_tag=len(parts) == 1)
    first.starts = name not in VOID and not tag.endswith("/>")
    yield first
    for number, piece in enumerate(parts[1:], 1):
        is_last = number == len(parts) - 1
        yield Atom("attribute", piece, gaps[number], name, tag, ends_tag=is_last, opener=first)


def nest(atoms: list[Atom]) -> None:
    """Gives each atom its depth, and says where line breaks would show."""
    paired = {atom.name[3:] for atom in atoms if atom.kind == "block" and atom.name[:3] == "end"}
    stack: list[Atom] = []
    branches: list[tuple[list[Atom], list[Atom]]] = []  # around a block: before it, after a branch
    for atom in atoms:
        atom.keeps_lines = (
            any(
                each.kind == "open" and (each.name == "blockquote" or _keeps_lines(each))
                for each in stack
            )
            and atom.kind != "attribute"
        )
        if atom.kind == "block" and atom.name in BRANCHES and branches:
            before, after = branches[-1]
            atom.opener = before[-1]
            after[:] = after or stack
            # Each branch begins with what was open before the block: only one of them is written
            # out.
            stack = [*before]
            atom.depth = len(stack) - 1
        elif atom.kind == "block" and atom.name[:3] == "end" and branches:
            before, after = branches.pop()
            atom.opener = before[-1]
            left = [each for each in (after or stack) if each is not before[-1]]
            stack = left
            atom.depth = len(before) - 1
        elif atom.kind == "close" and any(
            each.kind == "open" and each.name == atom.name for each in stack
        ):
            while (popped := stack.pop()).name != atom.name or popped.kind != "open":
                pass
            atom.tag, atom.opener = popped.tag, popped
            atom.depth = len(stack)
        else:
            atom.depth = len(stack)
        if atom.kind == "open" and atom.starts:
            stack.append(atom)
        if atom.kind == "attribute" and atom.opener and atom.opener.starts:
            atom.depth -= 1
        if atom.kind == "block" and atom.name in paired:
            atom.starts = True
            stack.append(atom)
            branches.append(([*stack], []))


def _keeps_lines(atom: Atom) -> bool:
    return any(word in atom.tag for word in KEEP_LINES)
