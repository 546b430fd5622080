"""A page made for members, as a guest gets it: whatever leads elsewhere is taken out.

The last of three fences. The link says which addresses open, the views leave out what belongs to
members; here every address that is left in the page is held against the link, so that one that was
forgotten leads nowhere. Nothing is let through because it is not known.
"""

from __future__ import annotations

from html import escape
from html.parser import HTMLParser
from urllib.parse import urlsplit

from django.conf import settings
from django.urls import reverse

from core.access.guest import Guest
from core.guests.left_out import without_mail

# Tags without an end (HTML Living Standard, “Void elements”).
VOID = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source"}
    | {"track", "wbr"}
)
# What asks for a file of its own, and is nothing without it.
EMBEDS = frozenset({"img", "audio", "video", "source", "image", "iframe", "object", "embed"})
LEADS = frozenset({"href", "src", "xlink:href", "data", "poster", "action", "formaction", "srcset"})


def as_guest(html: str, guest: Guest) -> str:
    page = _Rewriter(guest)
    page.feed(html)
    page.close()
    return "".join(page.out)


class _Rewriter(HTMLParser):
    def __init__(self, guest: Guest) -> None:
        super().__init__(convert_charrefs=False)
        self.guest = guest
        self.out: list[str] = []
        # What is being left out with all that is in it: the tag, and how many of its kind are open.
        self.left_out: tuple[str, int] | None = None
        self.ends: list[str] = []  # what ends the links that are open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if self.left_out:
            name, depth = self.left_out
            if tag == name:
                self.left_out = (name, depth + 1)
            return
        given = {name: value or "" for name, value in attrs}
        if self._is_for_members(tag, given):
            if tag not in VOID:
                self.left_out = (tag, 1)
        elif tag == "a":
            self._link(given)
        else:
            self._put(tag, attrs)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if not self.left_out and not self._is_for_members(tag, given):
            self._put(tag, attrs, end=" />")

    def handle_endtag(self, tag: str) -> None:
        if self.left_out:
            name, depth = self.left_out
            if tag == name:
                self.left_out = (name, depth - 1) if depth > 1 else None
            return
        if tag == "a" and self.ends:
            tag = self.ends.pop()
        self.out.append(f"</{tag}>")

    def handle_data(self, data: str) -> None:
        self._say(without_mail(data))

    def handle_entityref(self, name: str) -> None:
        self._say(f"&{name};")

    def handle_charref(self, name: str) -> None:
        self._say(f"&#{name};")

    def handle_decl(self, decl: str) -> None:
        self._say(f"<!{decl}>")

    def _say(self, text: str) -> None:
        if not self.left_out:
            self.out.append(text)

    def _is_for_members(self, tag: str, given: dict[str, str]) -> bool:
        """Whether it is left out with all that is in it."""
        if "data-guest" in given:
            return False
        if tag == "form" or "data-members" in given or given.get("rel") == "manifest":
            return True
        # Fields and buttons of a form that stands elsewhere.
        if tag in ("button", "input", "select", "textarea") and "form" in given:
            return True
        if tag == "nav" and "trail" in given.get("class", "").split():
            return True
        source = next((given[name] for name in ("src", "href", "data") if name in given), None)
        if tag in EMBEDS and source is not None:
            return self._own(source) is None
        if tag == "script" or tag == "link":
            return not (source or "").startswith(settings.STATIC_URL)
        if tag == "a":
            is_button = "button" in given.get("class", "").split()
            return is_button and self._own(given.get("href", "")) is None
        return False

    def _link(self, given: dict[str, str]) -> None:
        own = self._own(given.get("href", ""))
        tag = "span" if own is None else "a"
        self.ends.append(tag)
        if own is None:
            given.pop("href", None)
        else:
            given["href"] = own
        self._put(tag, list(given.items()), checked={"href"})

    def _own(self, url: str) -> str | None:
        """Where an address leads for the guest; None if they may not go there."""
        asked = urlsplit(url)
        if asked.scheme in ("http", "https", "tel", "data"):
            return url
        if asked.scheme or asked.netloc:
            return None
        if not asked.path:
            return url  # a place on this page; other parameters of it are another page
        if asked.path.startswith(settings.STATIC_URL) or asked.path.startswith(self.guest.home):
            return url
        if asked.path == reverse("core:language"):
            return url  # of nobody's production, and open to everybody
        return self.guest.address(url)

    def _put(
        self,
        tag: str,
        attrs: list[tuple[str, str | None]],
        *,
        end: str = ">",
        checked: set[str] | None = None,
    ) -> None:
        words = [tag]
        for name, value in attrs:
            if value is None:
                words.append(name)
                continue
            if name not in (checked or ()):
                leads = name in LEADS or value.startswith("/") or self.guest.inside in value
                found = self._own(value) if leads and name != "d" else value
                if found is None:
                    continue
                value = without_mail(found)
            words.append(f'{name}="{escape(value)}"')
        self.out.append(f"<{' '.join(words)}{end}")
