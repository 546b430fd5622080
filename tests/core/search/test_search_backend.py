"""Index and search, on whichever database the tests run on.

The expected hits are written down here once, so SQLite and PostgreSQL are held to the same ones.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.models import Production, SearchEntry
from core.places import IndexEntry
from core.search import backend
from core.search.backend import PER_PAGE, index, index_all, search
from core.search.context import Segment
from core.search.words import fold

CORPUS = {
    "organ": ("Organ main", "Two-manual organ into a rotary cabinet; three microphones."),
    "bridge": ("Bass main, bridge", "Too boomy as soon as the organ comes in, says Zoë."),
    "trumpet": ("Trumpet", "Ribbon, 30 cm from the bell. High-pass at 120."),
    "swap": ("Change 4, Bass main", "Ours is in repair: hired a Ribbon 12AX7 thing."),
    "words": ("How Bass main should sound", "Warm, woody; don’t let it clank. 100% me."),
    "cyrillic": ("Привет", "Ёлка 日本"),
}
# What people type, and what it finds.
FINDS = {
    "organ": {"organ", "bridge"},
    "ORGAN": {"organ", "bridge"},
    "orga": {"organ", "bridge"},
    "boom organ": {"bridge"},
    "zoe": {"bridge"},
    "bass": {"bridge", "swap", "words"},
    "bass main": {"bridge", "swap", "words"},
    "high-pass": {"trumpet"},
    "120": {"trumpet"},
    "12ax": {"swap"},
    "dont clank": {"words"},
    "don't": {"words"},
    "елка": {"cyrillic"},
    "日": {"cyrillic"},
    "rgan": {"organ", "bridge"},
    "gran": set(),
    "organ clank": set(),
    "organ OR clank": set(),
    "NOT organ": set(),
    "...": set(),
    "": set(),
}
HOSTILE = [
    "'",
    '"',
    "''",
    '"organ',
    "organ'",
    "organ*",
    "organ:*",
    "(organ",
    "organ & !bass",
    "NEAR(a b)",
    "title_words: organ",
    "^organ",
    "organ -- x",
    "; DROP TABLE core_searchentry",
    "%",
    "_",
    "\\",
    "organ\\",
    "{organ}",
    "a" * 5000,
    "\x00organ",
    "\ud800",
]


@pytest.fixture
def production(db: None) -> Production:
    return Production.objects.create(name="The Long Quiet")


def put(production: Production, key: str, title: str, body: str, **more: Any) -> None:
    kind = more.pop("kind", SearchEntry.Kind.NOTE)
    index(production, kind, uuid4(), title, body, f"/{key}/", **more)


@pytest.fixture
def corpus(production: Production) -> Production:
    for key, (title, body) in CORPUS.items():
        put(production, key, title, body)
    return production


def found(production: Production, text: str, **more: Any) -> list[str]:
    return [hit.path.strip("/") for hit in search(production, text, **more).hits]


@pytest.mark.parametrize("text", FINDS)
def test_both_databases_find_the_same(corpus: Production, text: str) -> None:
    hits = found(corpus, text)
    assert set(hits) == FINDS[text]
    assert len(hits) == len(set(hits))


def test_a_word_in_the_title_weighs_more_than_in_the_text(corpus: Production) -> None:
    assert found(corpus, "organ") == ["organ", "bridge"]
    assert found(corpus, "trumpet") == ["trumpet"]


def test_of_equals_the_newer_comes_first(production: Production) -> None:
    at = datetime(2026, 3, 1, tzinfo=UTC)
    for day in (2, 9, 5):
        put(production, str(day), "Organ", "Same words.", at=at + timedelta(days=day))
    assert found(production, "organ") == ["9", "5", "2"]


@pytest.mark.parametrize("text", HOSTILE)
def test_whatever_is_typed_is_words(corpus: Production, text: str) -> None:
    search(corpus, text)
    assert SearchEntry.objects.count() == len(CORPUS)


@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=60))
def test_no_text_is_a_syntax_error(corpus: Production, text: str) -> None:
    search(corpus, text)


@settings(max_examples=80, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(text=st.text(alphabet=st.characters(codec="latin-1", exclude_characters="\x00"), min_size=1))
def test_what_was_put_in_is_found_by_its_own_words(production: Production, text: str) -> None:
    subject = UUID(int=1)
    index(production, SearchEntry.Kind.NOTE, subject, "zzz", text, "/it/")
    wanted = fold(text)
    assert found(production, wanted) == (["it"] if wanted else [])


def test_the_context_shows_the_hit_and_is_not_markup(production: Production) -> None:
    put(production, "x", "<b>Bass</b>", "Says <script>boomy</script> & loud")
    (hit,) = search(production, "boom").hits
    assert hit.title == [Segment("<b>Bass</b>", False)]
    assert hit.context == [
        Segment("Says <script>", False),
        Segment("boomy", True),
        Segment("</script> & loud", False),
    ]


def test_putting_in_anew_replaces(production: Production) -> None:
    subject = uuid4()
    for words in ("boomy", "thin"):
        index(production, SearchEntry.Kind.NOTE, subject, "Bass", words, "/bass/")
    assert found(production, "thin") == ["bass"]
    assert found(production, "boomy") == []
    assert SearchEntry.objects.count() == 1


def test_one_kind_only(production: Production) -> None:
    put(production, "gear", "Organ", "", kind=SearchEntry.Kind.GEAR)
    put(production, "note", "Organ", "", kind=SearchEntry.Kind.NOTE)
    assert found(production, "organ", kind=SearchEntry.Kind.GEAR) == ["gear"]


def test_another_production_is_not_searched(corpus: Production) -> None:
    other = Production.objects.create(name="Other act")
    assert found(other, "organ") == []


def test_pages_follow_each_other(production: Production) -> None:
    index_all(IndexEntry(production.pk, "note", uuid4(), "Organ", "", f"/{n}/") for n in range(45))
    pages = [search(production, "organ", page=page) for page in (1, 2, 3)]
    assert [len(page.hits) for page in pages] == [20, 20, 5]
    assert [page.has_more for page in pages] == [True, True, False]
    assert len({hit.path for page in pages for hit in page.hits}) == 45


def test_only_the_newest_are_ranked(
    production: Production, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(backend, "RANKED", 2)
    at = datetime(2026, 3, 1, tzinfo=UTC)
    put(production, "old", "Organ", "", at=at)
    for day in (1, 2):
        put(production, f"new{day}", "Other", "organ", at=at + timedelta(days=day))
    assert found(production, "organ") == ["new2", "new1"]


@pytest.mark.parametrize("size", [1, 40])
def test_a_search_costs_the_same_whatever_it_finds(
    production: Production, django_assert_num_queries: Any, size: int
) -> None:
    index_all(IndexEntry(production.pk, "note", uuid4(), "Organ", "", "/x/") for _ in range(size))
    search(production, "organ")
    # Whether all was put in, whether anything is to be caught up with, the best, what they hold;
    # and where these fill no page, what words are meant.
    with django_assert_num_queries(4 if size > PER_PAGE else 5):
        search(production, "organ")


@pytest.mark.parametrize("size", [1, 40])
def test_forgiving_costs_two_queries_whatever_it_finds(
    production: Production, django_assert_num_queries: Any, size: int
) -> None:
    index_all(IndexEntry(production.pk, "note", uuid4(), "Organ", "", "/x/") for _ in range(size))
    search(production, "orgen")
    with django_assert_num_queries(6):
        search(production, "orgen")


def test_a_title_too_long_for_its_column_is_cut(production: Production) -> None:
    put(production, "x", "organ " * 100, "")
    assert SearchEntry.objects.get().title.endswith("…")
    assert found(production, "organ") == ["x"]
