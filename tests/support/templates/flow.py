"""Where white space may be put that was not there: beside block-level tags, on every way."""

from __future__ import annotations

import re
from functools import cache

from tests.support.templates.atoms import SPACE, Atom, nest, pieces
from tests.support.templates.elements import BRANCHES, HIDDEN, SILENT, TRANSPARENT
from tests.support.templates.files import path_of, templates


def mark_loose(atoms: list[Atom], blocks: Blocks) -> None:
    """Marks the places without white space where some may be put.

    Along every way through the branches of the template, the last thing written before or the
    first thing written after must be the tag of a block-level element, or white space.
    """
    flow = Flow(atoms, blocks)
    for index, atom in enumerate(atoms):
        if atom.gap or not index or atom.keeps_lines or atom.kind == "attribute":
            continue
        atom.loose = flow.edge_after(index) or flow.edge_before(index - 1)


class Flow:
    """Which atoms can follow each other when the template is written out."""

    def __init__(self, atoms: list[Atom], blocks: Blocks) -> None:
        self.atoms, self.blocks = atoms, blocks
        self.after: dict[int, list[int]] = {}
        self.before: dict[int, list[int]] = {}
        opened: list[list[int]] = []  # of each open block: its tag, its branches
        for index, atom in enumerate(atoms):
            if atom.kind == "block" and atom.starts:
                opened.append([index])
            elif atom.kind == "block" and atom.opener and atom.name in BRANCHES:
                opened[-1].append(index)
            elif atom.kind == "block" and atom.opener:
                self._close(opened.pop(), index)
            if index + 1 < len(atoms) and not self._ends_branch(index):
                self._join(index, index + 1)

    def _ends_branch(self, index: int) -> bool:
        following = self.atoms[index + 1]
        return following.kind == "block" and following.closes and following.opener is not None

    def _join(self, one: int, other: int) -> None:
        self.after.setdefault(one, []).append(other)
        self.before.setdefault(other, []).append(one)

    def _close(self, parts: list[int], end: int) -> None:
        head, last = self.atoms[parts[0]], self.atoms[parts[-1]]
        for part in [*parts[1:], end]:
            self._join(part - 1, end)  # the branch before it is over
        for part in parts[1:]:
            self._join(parts[0], part)
        if head.name in ("if", "for") and last.name not in ("else", "empty"):
            # Without an else the whole may write nothing.
            self._join(parts[0], end)
        if head.name == "for":
            self._join((parts[1] if len(parts) > 1 else end) - 1, parts[0])  # once more

    def edge_after(self, index: int) -> bool:
        """Whether what is written next, from the place before this atom on, is an edge."""
        atom = self.atoms[index]
        if atom.kind == "block" and atom.closes and atom.opener is not None:
            return all(self._is_edge(each, self.after, set()) for each in self.after[index - 1])
        return self._is_edge(index, self.after, set())

    def edge_before(self, index: int) -> bool:
        """Whether what was written last, up to the place after this atom, is an edge."""
        return self._is_edge(index, self.before, set())

    def _is_edge(self, index: int, ways: dict[int, list[int]], seen: set[int]) -> bool:
        # A loop decides nothing by itself: the ways that leave it do.
        if index in seen:
            return True
        seen.add(index)
        atom = self.atoms[index]
        if (
            atom.kind != "block"
            and atom.is_block_level
            or atom.opener
            and atom.kind == "attribute"
            and atom.opener.is_block_level
        ):
            return not self._may_be_empty(index)
        if atom.name == "include":
            return self.blocks.include_has_edge(atom, start=ways is self.after)
        if atom.name in ("block", "endblock"):
            return self._block_is_edge(index, ways, seen)
        if atom.name in ("sentence", "endsentence"):
            return self._sentence_is_edge(index, ways, seen)
        return self._writes_nothing(atom) and self._onward(index, ways, seen)

    def _onward(self, index: int, ways: dict[int, list[int]], seen: set[int]) -> bool:
        onward = ways.get(index, [])
        return bool(onward) and all(
            self._has_space(index, each) or self._is_edge(each, ways, seen) for each in onward
        )

    def _has_space(self, one: int, other: int) -> bool:
        return abs(one - other) == 1 and bool(self.atoms[max(one, other)].gap)

    def _block_is_edge(self, index: int, ways: dict[int, list[int]], seen: set[int]) -> bool:
        """A block is looked at from the inside only: what it holds may be replaced elsewhere."""
        atom, inwards = self.atoms[index], ways is self.after
        if (atom.name == "block") == inwards:
            return False
        name = (atom.opener or atom).text[2:-2].split()[1]
        if name in self.blocks.continued:
            return False
        if self.blocks.parent:
            return self.blocks.parent.edge_at_block(name, start=not inwards)
        return self._onward(index, ways, seen)

    def _sentence_is_edge(self, index: int, ways: dict[int, list[int]], seen: set[int]) -> bool:
        """Inside, its ends are edges; from outside, nothing is written where it stands."""
        atom, onwards = self.atoms[index], ways is self.after
        if (atom.name == "endsentence") == onwards:
            return True
        if onwards:
            other = next(n for n, each in enumerate(self.atoms) if each.opener is atom)
        else:
            other = next(n for n, each in enumerate(self.atoms) if each is atom.opener)
        return self._onward(other, ways, seen)

    @staticmethod
    def _writes_nothing(atom: Atom) -> bool:
        if atom.kind == "comment":
            return True
        if atom.kind in ("open", "attribute", "verbatim"):
            tag = atom.tag or atom.text
            return atom.name in HIDDEN or (atom.name == "input" and 'type="hidden"' in tag)
        if atom.kind == "close":
            return atom.name in HIDDEN
        if atom.kind != "block":
            return False
        plain = atom.name.removeprefix("end")
        return (
            plain in TRANSPARENT
            or atom.name in (*BRANCHES, *SILENT)
            or re.search(r" as \w+ *%}$", atom.text) is not None
        )

    def _may_be_empty(self, index: int) -> bool:
        """Cells with nothing in them are hidden where tables are stacked (td:empty)."""
        atom = self.atoms[index]
        if atom.name != "td":
            return False
        opener = atom if atom.kind == "open" else atom.opener
        start = self.atoms.index(opener) if opener else 0
        end = next(
            (
                n
                for n, each in enumerate(self.atoms)
                if each.kind == "close" and each.opener is opener
            ),
            0,
        )
        inside = [each for each in self.atoms[start + 1 : end] if each.kind != "attribute"]
        return not self._always_writes(inside)

    @staticmethod
    def _always_writes(inside: list[Atom]) -> bool:
        depth = min((each.depth for each in inside), default=0)
        if any(each.gap for each in inside[:1]):
            return True
        return any(
            each.depth == depth
            and (each.kind in ("word", "open") or each.name in ("else", "include"))
            for each in inside
        )


class Blocks:
    """What other templates say of the surroundings of one: its parent, and those it includes."""

    def __init__(self, source: str) -> None:
        extends = re.search(r'{% extends "([^"]+)" %}', source)
        self.parent = Parent.of(extends[1]) if extends else None
        self.continued = _continued_blocks()

    @staticmethod
    def include_has_edge(atom: Atom, *, start: bool) -> bool:
        """Whether an included template itself begins, or ends, with white space."""
        path = path_of(atom.text.split()[2].strip("\"'")) if 'include "' in atom.text else None
        if path is None:
            return False
        source = path.read_text()
        if not start:
            return source[-1:].isspace()
        return SPACE.match(re.sub(r"^({#.*?#}|{% load .*?%})*", "", source)) is not None


class Parent:
    """A template that others extend."""

    def __init__(self, source: str) -> None:
        self.blocks = Blocks(source)
        self.atoms = list(pieces(source))
        nest(self.atoms)
        self.flow = Flow(self.atoms, self.blocks)

    @classmethod
    @cache
    def of(cls, name: str) -> Parent | None:
        path = path_of(name)
        return cls(path.read_text()) if path else None

    def edge_at_block(self, name: str, *, start: bool) -> bool:
        """Whether white space at the start, or the end, of this block would not show."""
        for index, atom in enumerate(self.atoms):
            block = atom.opener or atom
            if atom.name == ("block" if start else "endblock") and block.text.split()[2] == name:
                if self.blocks.parent and self.blocks.parent.edge_at_block(name, start=start):
                    return True
                ways = self.flow.before if start else self.flow.after
                return self.flow._onward(index, ways, {index})
        return bool(self.blocks.parent and self.blocks.parent.edge_at_block(name, start=start))


@cache
def _continued_blocks() -> frozenset[str]:
    """Blocks that some template continues with `block.super` and something that is displayed."""
    names: set[str] = set()
    for path in templates():
        for name, text in re.findall(r"{% block (\w+) %}(.*?){% endblock", path.read_text(), re.S):
            displayed = re.sub(
                r"{{ block.super }}|<(link|meta)\b.*?>|<script.*</script>|\s", "", text
            )
            if "block.super" in text and displayed:
                names.add(name)
    return frozenset(names)
