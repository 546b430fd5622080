"""Marks words for the catalogues where no Django is known: what measures and computes, and the
processes that it runs in. They are translated where they are shown, by `gettext(words)`."""

from __future__ import annotations


def gettext_noop(words: str) -> str:
    """`words` as they are; their name lets xgettext find them."""
    return words
