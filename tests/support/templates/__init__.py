"""Formats the service's templates: no line over 120 characters, two spaces for each open element.

A page must look the same before and after, so white space is only ever changed where a browser
ignores the difference: its amount where there is some already, between the attributes of a tag,
before the `>` of a tag, and directly beside the tag of a block-level element, whichever branches
of the template are taken. Lines that are short enough stay as they are, but for their indentation.

    python -m tests.support.templates --check    names what is not formatted, and lines too long
    python -m tests.support.templates --write    formats
"""

from __future__ import annotations

from tests.support.templates.files import templates
from tests.support.templates.layout import WIDTH, formatted, long_lines

__all__ = ["WIDTH", "formatted", "long_lines", "templates"]
