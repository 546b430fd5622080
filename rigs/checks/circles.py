"""Cables along which sound comes back to where it was: feedback, or an effects loop. Pure.

Gear with a send and a return is two in one: what comes before its send, and what comes after its
return. Sound that leaves by a socket named “send” and comes in again by one named “return” is no
circle; sound that comes in again anywhere else does.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import NamedTuple

_SEND = re.compile(r"\bsend\b", re.IGNORECASE)
_RETURN = re.compile(r"\breturn\b", re.IGNORECASE)


class Way(NamedTuple):
    """A cable that passes sound on; its sockets are named as the crew names them."""

    id: str
    source: str
    target: str
    from_socket: str = ""
    to_socket: str = ""


# A unit, and whether it is the half behind its return.
_Half = tuple[str, bool]


def circles(ways: Iterable[Way]) -> list[list[str]]:
    """The ids of the cables of each knot in which sound goes round, in the order given.

    Every circle of a knot shares cables with another of it, so that a knot is one thing to look at.
    """
    ways = list(ways)
    split = _with_loop(ways)
    edges = {way.id: (_out(way, split), _in(way, split)) for way in ways}
    near: dict[_Half, list[_Half]] = defaultdict(list)
    for start, end in edges.values():
        near[start].append(end)
    for unit in split:
        near[unit, False].append((unit, True))
    result = []
    for knot in _knots(near):
        inside = [w.id for w in ways if edges[w.id][0] in knot and edges[w.id][1] in knot]
        if inside:
            result.append(inside)
    return result


def effects_loops(ways: Iterable[Way]) -> list[str]:
    """Units that send sound out and take it back, by the names of their sockets."""
    return sorted(_with_loop(ways))


def _with_loop(ways: Iterable[Way]) -> set[str]:
    ways = list(ways)
    sends = {way.source for way in ways if _SEND.search(way.from_socket)}
    return sends & {way.target for way in ways if _RETURN.search(way.to_socket)}


def _out(way: Way, split: set[str]) -> _Half:
    return way.source, way.source in split and not _SEND.search(way.from_socket)


def _in(way: Way, split: set[str]) -> _Half:
    return way.target, way.target in split and bool(_RETURN.search(way.to_socket))


def _knots(near: dict[_Half, list[_Half]]) -> Iterator[set[_Half]]:
    """The strongly connected parts that hold a circle.

    Tarjan's algorithm (R. Tarjan, SIAM J. Comput. 1(2), 1972), without recursion: a path may be
    longer than Python's stack.
    """
    order: dict[_Half, int] = {}
    low: dict[_Half, int] = {}
    stack: list[_Half] = []
    on_stack: set[_Half] = set()
    for root in list(near):
        if root in order:
            continue
        work = [(root, iter(near.get(root, ())))]
        order[root] = low[root] = len(order)
        stack.append(root)
        on_stack.add(root)
        while work:
            node, waiting = work[-1]
            other = next(waiting, None)
            if other is None:
                work.pop()
                if work:
                    low[work[-1][0]] = min(low[work[-1][0]], low[node])
                if low[node] == order[node]:
                    knot = _pop(stack, on_stack, node)
                    if len(knot) > 1 or node in near.get(node, ()):
                        yield knot
            elif other not in order:
                order[other] = low[other] = len(order)
                stack.append(other)
                on_stack.add(other)
                work.append((other, iter(near.get(other, ()))))
            elif other in on_stack:
                low[node] = min(low[node], order[other])


def _pop(stack: list[_Half], on_stack: set[_Half], upto: _Half) -> set[_Half]:
    knot: set[_Half] = set()
    while upto not in knot:
        node = stack.pop()
        on_stack.discard(node)
        knot.add(node)
    return knot
