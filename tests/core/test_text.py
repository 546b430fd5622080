"""What cannot be printed is left out of what people type and refused from programs.

The characters that XML can hold are those of XML 1.0, section 2.2, production [2] Char; the expat
parser of the standard library judges.
"""

from __future__ import annotations

from xml.etree import ElementTree
from xml.sax.saxutils import escape

from hypothesis import given
from hypothesis import strategies as st

from core.numbers import whole_number
from core.text import all_printable, one_line, printable, unprintable

ANY = st.text(st.characters(exclude_categories=[]))  # surrogates, too


@given(ANY)
def test_printable_text_is_what_an_xml_parser_takes(text: str) -> None:
    clean = printable(text)
    document = f"<a>{escape(clean)}</a>".encode()
    read = ElementTree.fromstring(document).text or ""  # noqa: S314 - our own text
    # XML 1.0, 2.11: a parser reads every line end as one character.
    assert read == clean.replace("\r\n", "\n").replace("\r", "\n")
    assert printable(clean) == clean
    assert list(unprintable(clean)) == []


def test_every_character_that_an_xml_parser_takes_stays() -> None:
    """Of the whole of the first plane, and the ends of all the others."""
    points = [*range(0x10000), *(p * 0x10000 + 0xFFFE + i for p in range(1, 17) for i in (0, 1))]
    for point in points:
        character = chr(point)
        try:
            ElementTree.fromstring(f"<a>&#{point};</a>")  # noqa: S314 - our own text
            taken = True
        except (ElementTree.ParseError, UnicodeEncodeError):
            taken = False
        assert (printable(character) == character) is taken, hex(point)


def test_what_cannot_be_printed_is_named_with_its_place() -> None:
    sent = {"edits": [{"fields": {"name": "Head\ufffe"}}, "\x01"], "k\x00": 1}
    assert list(unprintable(sent)) == [
        "edits.0.fields.name: U+FFFE",
        "edits.1: U+0001",
        "U+0000",
    ]
    assert all_printable(sent) == {"edits": [{"fields": {"name": "Head"}}, ""], "k": 1}


def test_a_line_of_a_header_has_no_breaks() -> None:
    assert one_line("The Long\r\nQuiet\x00") == "The Long Quiet"


def test_whole_numbers_are_ascii_digits_of_a_size_that_we_have() -> None:
    assert [whole_number(each) for each in ("0", "12", "999999999")] == [0, 12, 999_999_999]
    refused = ("", None, "-1", "+1", "1.0", "²", "٣", "1" * 10, "9" * 5000, " 1")
    assert [whole_number(each) for each in refused] == [None] * len(refused)
