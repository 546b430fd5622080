"""A microphone or DI in a few words.

The words for patterns are those of IEC 60268-4 (omnidirectional, cardioid, supercardioid,
hypercardioid, bidirectional; from memory), all others of the trade at large (common practice, no
source).
"""

from __future__ import annotations

import pytest
from django.conf import settings
from django.utils import translation
from hypothesis import given
from hypothesis import strategies as st

from rigs.inputs import device_words
from rigs.inputs.device_words import EXAMPLE, KINDS, PATTERNS, read_device, read_lines
from rigs.inputs.new_devices import SAMPLE
from rigs.models import Device


@pytest.mark.parametrize(
    ("text", "maker", "name", "principle", "pattern"),
    [
        ("dynamic cardioid, Hallam D2", "Hallam", "D2", "dynamic", "cardioid"),
        ("Dynamic  cardioid mic Hallam D2", "Hallam", "D2", "dynamic", "cardioid"),
        ("Hallam D2, moving-coil, super-cardioid", "Hallam", "D2", "dynamic", "supercardioid"),
        (
            "condenser, omni, Quarrie & Lund, Small 5",
            "Quarrie & Lund",
            "Small 5",
            "condenser",
            "omni",
        ),
        (
            "condenser omni, Quarrie & Lund Small 5",
            "Quarrie & Lund",
            "Small 5",
            "condenser",
            "omni",
        ),
        ("passive ribbon figure of eight, Selvage", "", "Selvage", "ribbon", "figure8"),
        ("active ribbon fig. 8, Selvage", "", "Selvage", "active_ribbon", "figure8"),
        ("ribbon figure-8 active, Selvage", "", "Selvage", "active_ribbon", "figure8"),
        ("boundary half cardioid, Tarn Plate", "Tarn", "Plate", "boundary", "half_cardioid"),
        ("contact pickup, Tarn Clip", "Tarn", "Clip", "contact", ""),
        ("active DI, Tarn Box", "Tarn", "Box", "di_active", ""),
        ("DI box passive, Box", "", "Box", "di_passive", ""),
        ("dynamic omni, “Contact Six”", "Contact", "Six", "dynamic", "omni"),
    ],
)
def test_words_become_a_device(
    text: str, maker: str, name: str, principle: str, pattern: str
) -> None:
    draft = read_device(text, ["Quarrie & Lund"])
    assert (draft.maker, draft.name) == (maker, name)
    assert (draft.principle, draft.pattern) == (principle, pattern)
    assert draft.form == ("di" if "di_" in principle else "mic")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("Hallam D2", "does not say what it is"),
        ("DI, Tarn Box", "active or passive"),
        ("dynamic cardioid", "Its name is missing"),
        ("dynamic omni cardioid, Hallam D2", "“cardioid” contradicts"),
        ("dynamic, ribbon, Hallam D2", "“ribbon” contradicts"),
        ("active dynamic, Hallam D2", "said of DIs and of ribbon"),
        ("passive ribbon phantom, Selvage", "needs phantom power"),
        ("active DI cardioid, Tarn Box", "A DI has no pattern"),
        ("dynamic, Hallam, D2, old", "one piece more"),
        (f"dynamic, {'x' * 121}", "longer than 120"),
    ],
)
def test_what_says_too_little_or_contradicts_itself_is_refused(text: str, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        read_device(text)


def test_what_nobody_said_is_named() -> None:
    assert read_device("dynamic cardioid, Hallam D2").assumed == ()
    taken = read_device("condenser cardioid, Hallam D2")
    assert taken.phantom
    assert "needing phantom power" in " ".join(taken.assumed)
    assert read_device("condenser cardioid no phantom, Hallam D2").assumed == ()
    assert "passive ribbon" in " ".join(read_device("ribbon figure 8, Selvage").assumed)
    assert "No pattern" in " ".join(read_device("dynamic, Hallam D2").assumed)
    assert "battery" in " ".join(read_device("active DI, Tarn Box").assumed)


def test_how_many_are_owned_stands_in_front() -> None:
    assert read_device("3 × dynamic cardioid, Hallam D2").owned == 3
    assert read_device("2x dynamic cardioid, Hallam D2").owned == 2
    assert read_device("dynamic cardioid, Hallam 2x").owned is None


def test_each_line_stands_by_itself() -> None:
    lines = ["", "dynamic cardioid, Hallam D2", "zither", "Dynamic omni, hallam d2", "DI active, Q"]
    read = read_lines(lines, there=["Q"])
    assert [bool(line.draft) for line in read] == [True, False, False, False]
    assert "in the list already" in read[2].wrong
    assert "in the list already" in read[3].wrong
    with pytest.raises(ValueError, match="More than 60"):
        read_lines(["x"] * 61)


NAMES = st.from_regex(r"[B-Z][b-z]{6,10} [0-9]{1,3}", fullmatch=True)


@given(
    st.sampled_from([p for p in Device.Principle if not p.startswith("di_")]),
    st.sampled_from(["omni", "cardioid", "supercardioid", "hypercardioid", "shotgun"]),
    NAMES,
    st.booleans(),
)
def test_order_changes_nothing(
    principle: Device.Principle, pattern: str, name: str, name_first: bool
) -> None:
    words = {"active_ribbon": "active ribbon", "ribbon": "passive ribbon"}
    kind = words.get(principle.value, principle.value)
    pieces = [f"{kind} {pattern}", name]
    draft = read_device(", ".join(reversed(pieces) if name_first else pieces))
    assert (draft.principle, draft.pattern, str(draft)) == (principle, pattern, name)


LANGUAGES = [code for code, _name in settings.LANGUAGES]


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("kind", KINDS)
def test_the_words_offered_for_a_tap_are_read(kind: str, language: str) -> None:
    with translation.override(language):
        offered = str(kind)
    english = read_device(f"{kind} Hallam D2")
    read = read_device(f"{offered} Hallam D2")
    assert (read.name, read.principle) == ("D2", english.principle)


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("pattern", PATTERNS)
def test_the_patterns_offered_for_a_tap_are_read(pattern: str, language: str) -> None:
    with translation.override(language):
        offered = str(pattern)
    kind = "boundary" if pattern.startswith("half") else "dynamic"
    read = read_device(f"{kind} {offered} Hallam D2")
    assert read.pattern
    assert read.pattern == read_device(f"{kind} {pattern} Hallam D2").pattern


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_word_means_the_same_in_each_language(language: str) -> None:
    """None of them is another’s in an earlier language."""
    for message, meaning in device_words._SAID._table:
        with translation.override(language):
            said = str(message).split("|")
        for word in said:
            assert device_words._SAID.get(word) == meaning, word


@pytest.mark.parametrize(
    ("text", "maker", "name", "principle", "pattern", "phantom"),
    [
        ("dynamisch Niere, Hallam D2", "Hallam", "D2", "dynamic", "cardioid", False),
        ("Hallam D2, Kondensator, Kugel, ohne Phantom", "Hallam", "D2", "condenser", "omni", False),
        ("aktive DI-Box, Tarn Box", "Tarn", "Box", "di_active", "", False),
        ("cinta pasiva figura de ocho, Selvage", "", "Selvage", "ribbon", "figure8", False),
        ("statique demi-cardioïde, Tarn Six", "Tarn", "Six", "condenser", "half_cardioid", True),
        ("ダイナミック　単一指向性、Hallam D2", "Hallam", "D2", "dynamic", "cardioid", False),
        ("単一指向性ダイナミックマイク、Hallam D2", "Hallam", "D2", "dynamic", "cardioid", False),
        ("コンデンサー無指向性，「Small 5」", "Small", "5", "condenser", "omni", True),  # noqa: RUF001
        ("アクティブDI、Tarn Box", "Tarn", "Box", "di_active", "", False),
    ],
)
@pytest.mark.parametrize("reader", ["en", "de", "ja"])
def test_words_of_other_languages_become_a_device(
    text: str, maker: str, name: str, principle: str, pattern: str, phantom: bool, reader: str
) -> None:
    with translation.override(reader):
        draft = read_device(text)
    assert (draft.maker, draft.name) == (maker, name)
    assert (draft.principle, draft.pattern, draft.phantom) == (principle, pattern, phantom)


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_samples_are_read_in_their_language(language: str) -> None:
    with translation.override(language):
        lines = read_lines([str(EXAMPLE)]) + read_lines(str(SAMPLE).splitlines())
    assert [line.wrong for line in lines] == [""] * 4
    assert [str(line.draft) for line in lines][1:] == ["Hallam D2", "Tarn Small 5", "Tarn Box"]
