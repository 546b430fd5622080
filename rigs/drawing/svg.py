"""A small tree of SVG elements, written out with everything escaped."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from xml.sax.saxutils import escape, quoteattr

from core.text import printable

Attribute = str | float | int | None


@dataclass(frozen=True, slots=True)
class Node:
    tag: str
    attributes: dict[str, Attribute] = field(default_factory=dict)
    children: tuple[Node | str, ...] = ()

    def render(self) -> str:
        attributes = "".join(
            f" {name}={quoteattr(_plain(value))}"
            for name, value in self.attributes.items()
            if value is not None
        )
        inside = "".join(
            escape(printable(child)) if isinstance(child, str) else child.render()
            for child in self.children
        )
        return (
            f"<{self.tag}{attributes}>{inside}</{self.tag}>"
            if inside
            else (f"<{self.tag}{attributes}/>")
        )


def node(tag: str, *children: Node | str, **attributes: Attribute) -> Node:
    """`class_` and `font_size` stand for class and font-size; None leaves an attribute out."""
    named = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()}
    return Node(tag, named, children)


def picture(
    width: float,
    height: float,
    children: Iterable[Node],
    *,
    title: str,
    desc: str = "",
    class_: str = "drawing",
    decoration: bool = False,
    role: str = "img",
    scale: float = 1.0,
) -> Node:
    """The outermost element. A `decoration` has its words beside it and is hidden from readers.

    One with links in it needs the role “group”: screen readers skip what is inside an “img”.
    """
    titles = [node("title", title)] + ([node("desc", desc)] if desc else [])
    described = {} if decoration else {"role": role, "aria_label": title}
    hidden = {"aria_hidden": "true"} if decoration else {}
    return node(
        "svg",
        *([] if decoration else titles),
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {_plain(width)} {_plain(height)}",
        width=width * scale,
        height=height * scale,
        class_=class_,
        focusable="false",
        **described,
        **hidden,
    )


def group(*children: Node, **attributes: Attribute) -> Node:
    return node("g", *children, **attributes)


def text(words: str, x: float, y: float, *, size: float = 13, **more: Attribute) -> Node:
    more.setdefault("text_anchor", "middle")
    more.setdefault("fill", "currentColor")
    return node("text", words, x=x, y=y, font_size=size, **more)


def width_of(words: str) -> int:
    """Columns that `words` take: East Asian wide characters take two, combining marks none,
    capitals more than small letters."""
    # There is no font to measure with, so the width is estimated from kinds of characters.
    return round(sum(_columns(character) for character in words))


def _columns(character: str) -> float:
    if unicodedata.combining(character):
        return 0
    if unicodedata.east_asian_width(character) in "WF":
        return 2
    if character in "MW":
        return 1.75
    return 1.2 if character.isupper() else 1


def fit(words: str, columns: int) -> str:
    """`words` on one line of at most so many columns, ending in … where something is left out."""
    words = " ".join(words.split())
    if width_of(words) <= columns:
        return words
    fitted, used = "", 0.0
    for character in words:
        used += _columns(character)
        if used > columns - 1:
            break
        fitted += character
    return f"{fitted.rstrip()}…"


def wrap(words: str, columns: int, lines: int = 2) -> list[str]:
    """`words` on at most `lines` lines of so many columns, the last one shortened to fit."""
    wrapped: list[str] = []
    rest = " ".join(words.split())
    while rest and len(wrapped) < lines - 1 and width_of(rest) > columns:
        head = _first_line(rest, columns)
        wrapped.append(head)
        rest = rest[len(head) :].lstrip()
    return [*wrapped, fit(rest, columns)] if rest else wrapped


def _first_line(words: str, columns: int) -> str:
    line = ""
    for word in words.split(" "):
        longer = f"{line} {word}".strip()
        if width_of(longer) > columns:
            break
        line = longer
    if line:
        return line
    # A single word longer than the line is cut where the line ends.
    used, fitted = 0.0, ""
    for character in words:
        used += _columns(character)
        if used > columns:
            break
        fitted += character
    return fitted or words[:1]


def _plain(value: Attribute) -> str:
    if isinstance(value, float):
        return f"{round(value, 2):g}" if abs(value) < 1e5 else f"{value:.2f}"
    return printable(str(value))
