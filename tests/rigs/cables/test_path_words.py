"""A path in words: what the program tells of cables reads as the same cables."""

from __future__ import annotations

import pytest
from django.conf import settings
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from rigs.cables.path_form import PLACEHOLDER
from rigs.cables.words import (
    KnownUnit,
    SaidCable,
    SaidPath,
    folded,
    is_socket,
    path_text,
    read_path,
)

RIG = [
    KnownUnit("guitar", "Guitar"),
    KnownUnit("switcher", "Loop switcher"),
    KnownUnit("comp", "Compressor"),
    KnownUnit("head", "Head", frozenset({"lower left"})),
    KnownUnit("left", "Cabinet L"),
    KnownUnit("right", "Cabinet R"),
]


def cables(text: str) -> list[tuple[str, ...]]:
    read = read_path(text, RIG)
    assert read.problems == []
    return [tuple(cable) for cable in read.cables]


def only_problem(text: str) -> tuple[str, str]:
    """The words that cannot be read, and why."""
    [problem] = read_path(text, RIG).problems
    return text[problem.start : problem.end], problem.message


def test_a_crews_path_with_a_loop_of_the_switcher() -> None:
    text = "GUITAR > switcher; send 1 > comp → return 1\nout -> head > cabinet l"
    assert cables(text) == [
        ("guitar", "switcher", "", ""),
        ("switcher", "comp", "send 1", ""),
        ("comp", "switcher", "", "return 1"),
        ("switcher", "head", "out", ""),
        ("head", "left", "", ""),
    ]


def test_names_that_nothing_has_are_new_and_the_same_each_time() -> None:
    read = read_path("guitar > Wireless > switcher; wireless out > Tuner", RIG)
    assert read.new == {"new-1": "Wireless", "new-2": "Tuner"}
    assert [tuple(cable) for cable in read.cables] == [
        ("guitar", "new-1", "", ""),
        ("new-1", "switcher", "", ""),
        ("new-1", "new-2", "out", ""),
    ]


def test_between_two_cables_an_output_is_where_the_second_leaves() -> None:
    assert cables("guitar > head speaker out > cabinet r") == [
        ("guitar", "head", "", ""),
        ("head", "right", "speaker out", ""),
    ]
    assert cables("guitar > head in > cabinet r")[0] == ("guitar", "head", "", "in")


def test_sockets_of_any_name_are_set_apart_or_known() -> None:
    assert cables("head lower left > comp") == [("head", "comp", "lower left", "")]
    assert cables("head: blue one > comp: 2") == [("head", "comp", "blue one", "2")]
    assert cables('head: "a > b" > comp') == [("head", "comp", "a > b", "")]


def test_what_isquoted_is_a_name_to_the_letter() -> None:
    read = read_path('guitar > "comp" > "12"" tom"', RIG)
    assert list(read.new.values()) == ["comp", '12" tom']


@pytest.mark.parametrize(
    ("text", "words", "said"),
    [
        ("guitar > cab > comp", "cab", "“cab” can be “Cabinet L” or “Cabinet R”"),
        ("send 1 > comp", "send 1", "Say first which unit has “send 1”"),
        ("guitar > head > head", "head", "From “Head” into itself is no path"),
        ("guitar > > head", ">", "A unit is missing"),
        ("guitar >", "", "A unit is missing"),
        ("guitar; send 1", "send 1", "“send 1” leads nowhere"),
        ("guitar > head; guitar > head", "head", "is said twice"),
        ("guitar > “head", "“head", "quotation marks"),
        ("guitar > " + "x" * 121, "x" * 121, "at most 120"),
    ],
)
def test_what_is_wrong_is_said_at_its_words(text: str, words: str, said: str) -> None:
    marked, message = only_problem(text)
    assert (marked, said in message) == (words, True)


def test_what_can_be_read_stays_beside_what_is_wrong() -> None:
    read = read_path("guitar > switcher > cab", RIG)
    assert read.cables == [SaidCable("guitar", "switcher")]
    assert len(read.problems) == 1


def test_two_units_of_one_name_are_not_told_apart_by_guessing() -> None:
    twins = [*RIG, KnownUnit("other", "head")]
    [problem] = read_path("guitar > head", twins).problems
    assert problem.message.startswith("2 units are called “head”")


@pytest.mark.parametrize("text", ["send 1", "Return", "fx send", "out L", "in2", "speaker out"])
def test_words_of_sockets(text: str) -> None:
    assert is_socket(text)


@pytest.mark.parametrize("text", ["Output stage", "comp", "", "L", "Send to Ines"])
def test_words_that_are_no_sockets(text: str) -> None:
    assert not is_socket(text)


WORDS = st.text(max_size=14).map(lambda text: " ".join(text.split()))
NAMES = st.lists(
    WORDS.filter(lambda name: folded(name) != ""), min_size=2, max_size=6, unique_by=folded
)
SOCKETS = st.one_of(st.just(""), st.sampled_from(["send 1", "Return", "out"]), WORDS)


@st.composite
def told(draw: st.DrawFn) -> tuple[dict[str, str], list[SaidCable]]:
    names = {f"unit {n}": name for n, name in enumerate(draw(NAMES))}
    ends = st.lists(st.sampled_from(sorted(names)), min_size=2, max_size=2, unique=True)
    one = st.builds(lambda e, a, b: SaidCable(e[0], e[1], a, b), ends, SOCKETS, SOCKETS)
    return names, draw(st.lists(one, min_size=1, max_size=8, unique=True))


@given(told())
def test_a_path_told_in_the_programs_own_words_reads_as_the_same_cables(
    told: tuple[dict[str, str], list[SaidCable]],
) -> None:
    names, cables = told
    read = read_path(path_text(cables, names), [KnownUnit(id, name) for id, name in names.items()])
    assert read == SaidPath(cables=cables)


@given(st.one_of(st.text(), st.text(alphabet='ab>;:"“”→-\n send1', max_size=60)))
def test_any_text_is_read_or_refused_at_places_that_are_in_it(text: str) -> None:
    read = read_path(text, RIG)
    known = {unit.id for unit in RIG} | set(read.new)
    for cable in read.cables:
        assert {cable.source, cable.target} <= known
        assert cable.source != cable.target
    for problem in read.problems:
        assert 0 <= problem.start <= problem.end <= len(text)
        assert problem.message


@pytest.mark.parametrize(
    "quoted",
    ["«Drei > vier»", "»Drei > vier«", "« Drei > vier »", "„Drei > vier“", "「Drei > vier」"],
)
def test_quotation_marks_of_other_languages(quoted: str) -> None:
    read = read_path(f"guitar > {quoted} ＞ head", RIG)  # noqa: RUF001
    assert read.problems == []
    assert read.new == {"new-1": "Drei > vier"}
    assert [cable.target for cable in read.cables] == ["new-1", "head"]


@pytest.mark.parametrize(
    ("text", "out", "back"),
    [
        ("guitar > switcher; Send 1 > comp > Eingang 2", "Send 1", "Eingang 2"),
        ("guitar > switcher; salida 1 > comp > retorno 1", "salida 1", "retorno 1"),
        ("guitar > switcher; départ 1 > comp > retour 1", "départ 1", "retour 1"),
        ("guitar＞switcher；センド1＞comp＞リターン1", "センド1", "リターン1"),  # noqa: RUF001
    ],
)
@pytest.mark.parametrize("reader", ["en", "de", "ja"])
def test_sockets_in_the_words_of_each_language(text: str, out: str, back: str, reader: str) -> None:
    with translation.override(reader):
        assert cables(text)[1:] == [("switcher", "comp", out, ""), ("comp", "switcher", "", back)]


@pytest.mark.parametrize("language", [code for code, _name in settings.LANGUAGES])
def test_the_sample_is_read_in_its_language(language: str) -> None:
    with translation.override(language):
        read = read_path(str(PLACEHOLDER), [])
    assert read.problems == []
    assert len(read.cables) == 6
    assert len(read.new) == 6
