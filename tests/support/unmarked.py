"""Find words of the interface that do not go through the translations, by reading the files.

    python -m tests.support.unmarked core/templates notes/handover     what stands there
    python -m tests.support.unmarked --python notes/handover           likely ones in Python, too

Templates are read exactly: text, and the attributes that people read or hear, outside
{% translate %} and {% blocktranslate %}, and words that a tag is given without _(…). Python is
guessed at: texts with words in them that no function of the translations is called with.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple

from django.template.base import DebugLexer, TokenType

SPOKEN = {"alt", "title", "aria-label", "aria-description", "aria-roledescription", "placeholder"}
# What says the same in every language: names, codes, signs of units.
SAME_EVERYWHERE = re.compile(
    r"\b(?:Toneledger|dBu|dBV|dBFS|dBTP|LUFS|LU|LRA|dB|SPL|Hz|kHz|Ω|kΩ|MΩ|mm|cm|ft|in|kg|lb|ms|pF|"
    r"nF|mW|kW|kPa|VA|PDF|CSV|XLSX|JSON|QR|API|MIDI|DI|FOH|XLR|TRS|AES|USB|PNG|JPEG|WAV|FLAC|ISO|URL|"
    r"SHA-256|CC|PC|kB|MB|GB|bpm|BPM|HH|MM|YYYY|ATA|EUR|GBP|USD)\b"
)
# Names of classes and parameters that a template puts into an attribute.
CODE = re.compile(r"\bis-[a-z-]+\b|\b\w+=\w*")
WORD = re.compile(r"[^\W\d_]{2,}")
HOLE = "\x01"  # where a variable or a tag stood
SILENT = {"script", "style", "code", "kbd", "svg"}


class Found(NamedTuple):
    line: int
    text: str


def has_words(text: str) -> bool:
    return bool(WORD.search(SAME_EVERYWHERE.sub("", CODE.sub("", text.replace(HOLE, "")))))


class _Page(HTMLParser):
    """Text and spoken attributes of markup, with the line of each."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[Found] = []
        self._silent: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag in SILENT or given.get("translate") == "no":
            self._silent.append(tag)
        spoken = SPOKEN | ({"value"} if given.get("type") in ("submit", "button") else set())
        spoken |= {"content"} if given.get("name") == "description" else set()
        for name, value in attrs:
            if name in spoken and value and has_words(value):
                self.found.append(Found(self.getpos()[0], f"{name}: {value}"))

    def handle_endtag(self, tag: str) -> None:
        if self._silent and self._silent[-1] == tag:
            self._silent.pop()

    def handle_data(self, data: str) -> None:
        if not self._silent and has_words(data):
            self.found.append(Found(self.getpos()[0], " ".join(data.split())))


_GIVEN = re.compile(r"""(?P<call>_\()?(?P<text>"[^"]*"|'[^']*')""")
# Tags whose words people read: of others, texts are names of things.
_SPEAKING = {"include", "field", "icon", "with"}
_NAME = re.compile(r"[\w./:#?=&-]*")


def unmarked_in_template(source: str) -> list[Found]:
    """What stands in a template without going through the translations."""
    return sorted(_read(source, _Page()))


def _read(source: str, page: _Page) -> list[Found]:
    """What `page` finds outside of the translations, and words that tags are given."""
    found: list[Found] = []
    markup: list[str] = []
    inside = ""
    for token in DebugLexer(source).tokenize():
        lines = "\n" * source[slice(*token.position)].count("\n")
        if token.token_type is TokenType.TEXT:
            markup.append(lines if inside else token.contents)
            continue
        markup.append(HOLE + lines if token.token_type is not TokenType.COMMENT else lines)
        if token.token_type is not TokenType.BLOCK:
            continue
        name, *_rest = token.contents.split(None, 1)
        if inside:
            inside = "" if name == f"end{inside}" else inside
        elif name in ("blocktranslate", "blocktrans", "comment", "verbatim"):
            inside = name
        elif name in _SPEAKING:
            found += [Found(token.lineno, f"{name}: {each}") for each in _given(token.contents)]
    page.feed("".join(markup))
    return found + page.found


def _given(contents: str) -> Iterator[str]:
    for match in _GIVEN.finditer(contents):
        text = match["text"][1:-1]
        before = contents[: match.start()]
        is_name = _NAME.fullmatch(text) and not text[:1].isupper()
        # What a filter is given, or a path, is no word.
        if not match["call"] and not is_name and has_words(text) and not before.endswith("|"):
            yield text


# Signs that languages set in ways of their own: French with a space before them, Japanese wide.
_GLUED = re.compile(r"(?:^|\x01|\w)\s*[:;?!](?=\s|\x01|$)")
_JOINED = re.compile(r"""join:["'][,;]\s|forloop\.(?:last|first) %\}[,;]\s""")


class _Glued(_Page):
    """Signs of punctuation between what stands there, where a language has no say."""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in SILENT:
            self._silent.append(tag)
        for name, value in attrs:
            if name in SPOKEN and value and _GLUED.search(value):
                self.found.append(Found(self.getpos()[0], f"{name}: {value}"))

    def handle_data(self, data: str) -> None:
        if not self._silent and _GLUED.search(data):
            self.found.append(Found(self.getpos()[0], " ".join(data.split())))


def glued_in_template(source: str) -> list[Found]:
    """Colons, semicolons and commas of lists that a template sets itself, in place of `|lead`,
    `|listed`, `|apart` or a message."""
    page = _Glued()
    _read(source, page)
    joined = (
        Found(at, line.strip())
        for at, line in enumerate(source.splitlines(), start=1)
        if _JOINED.search(line)
    )
    return sorted([*page.found, *joined])


def glued_in_python(source: str) -> list[Found]:
    """Lists and colons that Python sets itself, in place of `each_of`, `apart` and `leading` of
    core.languages.words."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            sign = node.func.value
            if node.func.attr == "join" and isinstance(sign, ast.Constant):
                found += [Found(node.lineno, repr(sign.value))] if sign.value in _SIGNS else []
        elif isinstance(node, ast.JoinedStr):
            pairs = zip(node.values, node.values[1:], strict=False)
            found += [
                Found(node.lineno, ast.unparse(node))
                for before, text in pairs
                if isinstance(before, ast.FormattedValue)
                and isinstance(text, ast.Constant)
                and str(text.value)[:2] in _SIGNS[1:]
            ]
    return sorted(found)


_SIGNS = (", ", "; ", ": ")
TRANSLATING = {
    *("_", "gettext", "gettext_lazy", "gettext_noop", "ngettext", "ngettext_lazy", "pgettext"),
    *("pgettext_lazy", "npgettext", "npgettext_lazy"),
}
_SENTENCE = re.compile(r"[^\W\d_]{2,} [^\W\d_]{2,}|^[A-Z][a-z]+(?:$|[ .,:…?])")


def likely_in_python(source: str) -> list[Found]:
    """Texts that look like words for people and that no function of the translations is called
    with. Docstrings and what is logged are left out."""
    tree = ast.parse(source)
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))
        if isinstance(node, ast.Call) and _called(node) in TRANSLATING | {"debug", "info"}:
            passed |= {id(each) for each in ast.walk(node)}
    found = []
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr):
            text = "".join(
                each.value if isinstance(each, ast.Constant) else "{}" for each in node.values
            )
            passed |= {id(each) for each in ast.walk(node)}
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        if _SENTENCE.search(text) and has_words(text):
            found.append(Found(node.lineno, text))
    return sorted(found)


def _called(node: ast.Call) -> str:
    function = node.func
    return getattr(function, "attr", getattr(function, "id", ""))


def files_below(places: list[str], ending: str) -> Iterator[Path]:
    for place in map(Path, places):
        yield from sorted(place.rglob(f"*{ending}")) if place.is_dir() else [place]


def say(line: str) -> None:
    sys.stdout.write(f"{line}\n")


def main(arguments: list[str]) -> None:
    places = [each for each in arguments if not each.startswith("--")]
    count = 0
    for path in files_below(places, ".html"):
        if path.suffix == ".html":
            for each in unmarked_in_template(path.read_text()):
                say(f"{path}:{each.line}: {each.text}")
                count += 1
    if "--python" in arguments:
        for path in files_below(places, ".py"):
            if path.suffix == ".py" and "migrations" not in path.parts:
                for each in likely_in_python(path.read_text()):
                    say(f"{path}:{each.line}: {each.text}")
                    count += 1
    say(f"{count} found.")


if __name__ == "__main__":
    main(sys.argv[1:])
