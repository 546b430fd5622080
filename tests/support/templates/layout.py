"""The lines of a template: indented and, where they are too long, broken."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from tests.support.templates.atoms import Atom, nest, pieces
from tests.support.templates.elements import BRANCHES
from tests.support.templates.flow import Blocks, mark_loose

WIDTH = 120


def atoms_of(source: str) -> list[Atom]:
    """The template in pieces, with what each needs to know of its surroundings."""
    atoms = list(pieces(source))
    nest(atoms)
    mark_loose(atoms, Blocks(source))
    return atoms


def formatted(source: str) -> str:
    """The template with its lines indented and, where they are too long, broken."""
    atoms = atoms_of(source)
    lines: list[str] = []
    for line in _lines(atoms):
        if line[0].lines_before > 1 and lines:
            lines.append("")
        lines += Layout(line).lines
    before, after = source[:1].isspace(), source[-1:].isspace()
    return "\n" * before + "\n".join(lines) + "\n" * after


def _lines(atoms: list[Atom]) -> Iterator[list[Atom]]:
    line: list[Atom] = []
    for atom in atoms:
        if line and atom.lines_before:
            yield line
            line = []
        line.append(atom)
    if line:
        yield line


def flat(atoms: list[Atom]) -> str:
    """The atoms on one line, without the white space before the first."""
    return "".join(
        (" " if atom.gap and number else "") + atom.text for number, atom in enumerate(atoms)
    )


@dataclass
class Layout:
    """One line of a template, broken where it must be."""

    atoms: list[Atom]

    @cached_property
    def lines(self) -> list[str]:
        return list(self._laid_out(self.atoms))

    def _laid_out(self, atoms: list[Atom]) -> Iterator[str]:
        if self._fits(atoms):
            yield self._line(atoms)
            return
        for part in self._parts(atoms):
            if self._fits(part):
                yield self._line(part)
            elif len(part) < len(atoms):
                yield from self._laid_out(part)
            else:
                yield from self._filled(part)

    def _fits(self, atoms: list[Atom]) -> bool:
        text = self._line(atoms)
        return max(len(line) for line in text.split("\n")) <= WIDTH

    @staticmethod
    def _line(atoms: list[Atom]) -> str:
        return " " * atoms[0].indent + flat(atoms)

    @staticmethod
    def _parts(atoms: list[Atom]) -> list[list[Atom]]:
        """Parted at the outermost places beside block-level tags, if there are any."""
        lone = _lone_gaps(atoms)
        places = [
            index
            for index, atom in enumerate(atoms)
            if index
            and index not in lone
            and not atom.keeps_lines
            and atom.kind != "attribute"
            and (atom.loose or (atom.gap and _beside_block(atoms, index)))
        ]
        if not places:
            return [atoms]
        places += [
            index
            for index, atom in enumerate(atoms)
            if index
            and atom.gap
            and not atom.keeps_lines
            and index not in places
            and (atom.kind == "block" and atom.starts and index + 1 in places)
        ]
        places.sort()
        outer = min(_depth_of_gap(atoms, index) for index in places)
        cuts = [index for index in places if _depth_of_gap(atoms, index) == outer]
        return [atoms[a:b] for a, b in zip([0, *cuts], [*cuts, len(atoms)], strict=True)]

    def _filled(self, atoms: list[Atom]) -> Iterator[str]:
        """Break at white space so that there are few lines, with breaks in the outermost elements.

        Dynamic programming over the places to break: `best` holds for each the least cost of all
        before it, and where the last line begins.
        """
        run = list(_with_loose_ends(atoms))
        lone = _lone_gaps(run)
        count = len(run)
        best: list[tuple[float, int]] = [(0, 0)] + [(float("inf"), 0)] * count
        for start in range(count):
            if best[start][0] == float("inf"):
                continue
            penalty = _penalty(run, start) + 5 * (start in lone) if start else 0.0
            width = run[start].indent
            for end in range(start, count):
                piece = run[end]
                width += len(piece.text) + (1 if piece.gap and end > start else 0)
                over = max(0, width - WIDTH)
                cost = best[start][0] + penalty + 10 + over * 1000
                if cost <= best[end + 1][0]:  # where it costs the same, long lines come first
                    best[end + 1] = (cost, start)
                # Lines so long are never chosen; trying them all would take quadratic time.
                if over > 9 * WIDTH:
                    break
        cuts = [count]
        while cuts[-1]:
            cuts.append(best[cuts[-1]][1])
        cuts.reverse()
        for start, end in zip(cuts, cuts[1:], strict=False):
            yield self._line(run[start:end])


def _lone_gaps(atoms: list[Atom]) -> set[int]:
    """Places just inside an element or a block that cannot be broken at all of its edges.

    A line break after `{% if … %}` without one before its `{% endif %}` is hard to read.
    """
    edges: dict[int, set[int]] = {}
    whole: set[int] = set()
    present = {id(atom) for atom in atoms if atom.starts}
    for index, atom in enumerate(atoms):
        before = atoms[index - 1] if index else None
        if atom.closes and atom.opener and id(atom.opener) in present:
            edges.setdefault(id(atom.opener), set()).add(index)
            if atom.name not in BRANCHES:
                whole.add(id(atom.opener))
        if before and (owner := _inner_edge_of(before)):
            edges.setdefault(id(owner), set()).add(index)
    lone: set[int] = set()
    for owner_id, indexes in edges.items():
        if owner_id in whole and not all(
            (atoms[index].gap or atoms[index].loose) and not atoms[index].keeps_lines
            for index in indexes
        ):
            lone |= indexes
    return lone


def _inner_edge_of(atom: Atom) -> Atom | None:
    """The element or block that what follows this atom is the start of, or of a branch of which."""
    if atom.kind == "attribute":
        return atom.opener if atom.ends_tag and atom.opener and atom.opener.starts else None
    if atom.starts:
        return atom if atom.kind == "block" or atom.ends_tag else None
    return atom.opener if atom.kind == "block" and atom.name in BRANCHES else None


def _with_loose_ends(atoms: list[Atom]) -> Iterator[Atom]:
    """The atoms, the `>` of opening tags by itself: white space may stand before it."""
    for atom in atoms:
        if atom.ends_tag and atom.text not in (">", "/>") and not atom.text.endswith("/>"):
            opener = atom.opener or atom
            yield replace(atom, text=atom.text[:-1], ends_tag=False)
            yield Atom("attribute", ">", "", atom.name, atom.tag, True, opener.depth, opener=opener)
        else:
            yield atom


def _depth_of_gap(atoms: list[Atom], index: int) -> int:
    """How many elements and blocks are open where the white space before an atom stands."""
    atom = atoms[index]
    return atom.depth + 1 if atom.closes else atom.depth


def _beside_block(atoms: list[Atom], index: int) -> bool:
    before = atoms[index - 1]
    return atoms[index].is_block_level or before.kind == "close" and before.is_block_level


def _penalty(atoms: list[Atom], index: int) -> float:
    """What a break before this atom costs, in tenths of a line."""
    atom, before = atoms[index], atoms[index - 1]
    if atom.text == ">" and atom.kind == "attribute":
        return 25
    if not (atom.gap or atom.loose) or atom.keeps_lines:
        return float("inf")
    depth = _depth_of_gap(atoms, index) - atoms[0].depth
    if atom.kind == "attribute":
        return (15 if before.kind == "open" else 3) + depth
    in_text = atom.kind in ("word", "variable") and before.kind in ("word", "variable")
    return (4 if in_text else 1) + depth


def long_lines(text: str) -> list[int]:
    return [n for n, line in enumerate(text.split("\n"), 1) if len(line) > WIDTH]
