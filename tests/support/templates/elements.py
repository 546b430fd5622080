"""What HTML, Django and the style sheets of the service say of elements and tags."""

from __future__ import annotations

# HTML Living Standard, 13.1.2: elements without an end tag.
VOID = frozenset(
    ("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track")
) | {"wbr"}
# HTML Living Standard, 15.3: elements that its style sheet for browsers displays as blocks, parts
# of tables or list items, or not at all; white space at their edges makes no box.
BLOCK_LEVEL = frozenset(
    (
        "address",
        "article",
        "aside",
        "blockquote",
        "body",
        "caption",
        "col",
        "colgroup",
        "datalist",
        "dd",
        "details",
        "dialog",
        "div",
        "dl",
        "dt",
        "fieldset",
        "figcaption",
        "figure",
        "footer",
        "form",
        "h1",
        "h2",
        "h3",
        "h4",
        "h5",
        "h6",
        "head",
        "header",
        "hgroup",
        "hr",
        "html",
        "legend",
        "li",
        "main",
        "menu",
        "nav",
        "ol",
        "optgroup",
        "option",
        "p",
        "search",
        "section",
        "summary",
        "table",
        "tbody",
        "td",
        "tfoot",
        "th",
        "thead",
        "title",
        "tr",
        "ul",
    )
)
# Elements that are never displayed: white space beside them counts as if they were not there.
HIDDEN = frozenset(("link", "meta", "script", "style", "template"))
# What stands in these is taken to the letter.
VERBATIM = ("pre", "textarea", "script", "style")
# Classes (and one attribute) whose elements the style sheets of the service do not treat as their
# element's name says: line breaks are kept (pre-line), displayed in a line, or hidden when empty.
KEEP_LINES = ("since-why", "since-heard", "party-words", "waiting-words")
NOT_AS_BLOCK = (*KEEP_LINES, "pickups-label", "party-detail", "data-said")
BRANCHES = ("else", "elif", "empty")
# Tags that write nothing themselves.
SILENT = ("load", "regroup", "csrf_token")
TRANSPARENT = ("if", "for", "with", "localize")
