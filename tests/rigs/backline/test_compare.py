"""What was offered, against what is named. Expected values follow from the definition in the
docstring of `fit_of`: no outside source has one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.backline.compare import Fit, fit_of, named

WANTED, ACCEPTED, REFUSED = "Tarn Fifty\nTarn 5", "Corvane Hull\nanything valve", "Selvage"


@pytest.mark.parametrize(
    ("offered", "fit"),
    [
        ("Tarn Fifty", Fit.WANTED),
        ("tarn  fifty head, 2019", Fit.WANTED),
        ("Tarn 50", Fit.UNKNOWN),  # not the “Tarn 5” that is wanted
        ("Corvane Hull 410", Fit.ACCEPTED),
        ("Selvage, like a Tarn Fifty", Fit.REFUSED),
        ("", None),
        (" – ", None),
    ],
)
def test_what_is_offered(offered: str, fit: Fit | None) -> None:
    found = fit_of(offered, wanted=WANTED, accepted=ACCEPTED, refused=REFUSED)
    assert found is fit


words = st.text("abcde 12", min_size=1).filter(str.strip)


@given(words, words, words)
def test_refused_comes_first_whatever_else_names_it(name: str, before: str, after: str) -> None:
    offered = f"{before} {name} {after}"
    assert fit_of(offered, wanted=offered, accepted=offered, refused=name) is Fit.REFUSED


def test_empty_lines_name_nothing() -> None:
    assert named(" a \n\n b") == ["a", "b"]
    assert fit_of("a", wanted="", accepted="\n", refused=" ") is Fit.UNKNOWN
