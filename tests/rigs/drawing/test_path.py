"""The signal path: what is above what, that nothing overlaps, and what is reported."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from decimal import Decimal
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.drawing.graph import Cable, graph_of
from rigs.drawing.layout import COLUMNS, Layout, lay_out
from rigs.drawing.path import UNIT_COLUMNS, findings, sentences, signal_path
from rigs.drawing.rows import GAP, WIDTH
from rigs.templatetags.drawing import PHONE_COLUMNS
from rigs.wording import RigView
from tests.support.views import chain, link, mic_on, rig, unit

SVG = "{http://www.w3.org/2000/svg}"


def assert_sound(view: RigView, columns: int = COLUMNS) -> Layout:
    """No two stations or names on each other, all on the sheet, no cable through a station, nor
    through the name of a cable that it has no station in common with."""
    graph = graph_of(view)
    sheet = lay_out(graph, columns)
    boxes = [*sheet.boxes.values(), *(d.label for d in sheet.drawn if d.label)]
    assert len(sheet.boxes) == len(view.units) + len(view.inputs)
    assert not [(a, b) for a, b in combinations(boxes, 2) if a.overlaps(b)]
    for box in boxes:
        assert box.x >= 0
        assert box.x + box.width <= sheet.width
        assert box.y >= 0
        assert box.y + box.height <= sheet.height
    for drawn in sheet.drawn:
        assert bool(drawn.label) == bool(drawn.cable.label)
        strange = [d.label for d in sheet.drawn if d.label and _apart(d.cable, drawn.cable)]
        for (x1, y1), (x2, y2) in pairwise(drawn.points):
            # A bend stays within the rectangle that its two points span (path._curve).
            low, high = sorted((y1, y2))
            left, right = sorted((x1, x2))
            for box in (*sheet.boxes.values(), *strange):
                beside = right <= box.x or box.x + box.width <= left
                assert beside or high <= box.y + 1e-6 or box.y + box.height <= low + 1e-6
    return sheet


def _apart(one: Cable, other: Cable) -> bool:
    return {one.source, one.target}.isdisjoint({other.source, other.target})


def big(count: int) -> RigView:
    """A splitter into three chains that meet again, a pedal board, drums, and microphones."""
    names = [f"Unit {n} with quite a long name" for n in range(count)]
    links = []
    for n in range(1, count):
        if n % 4:
            links.append(
                link(names[(n * 7) % n], names[n], cable=f"Cable {n}", length_m=Decimal(6))
            )
        if n % 9 == 0:
            links.append(link(names[n - 1], names[n], cable="Patch"))
    inputs = [mic_on(name, f"Mic on {name}", n) for n, name in enumerate(names) if n % 3 == 0]
    return rig([unit(name) for name in names], links, inputs)


EITHER = pytest.mark.parametrize("columns", [PHONE_COLUMNS, COLUMNS])


@EITHER
@pytest.mark.parametrize("count", [1, 20, 60])
def test_nothing_overlaps_whatever_the_size(count: int, columns: int) -> None:
    assert_sound(big(count), columns)
    assert_sound(chain(*(f"Unit {n}" for n in range(count))), columns)
    assert_sound(rig([unit(f"Drum {n}", "drum") for n in range(count)]), columns)
    assert_sound(fan(count), columns)


def fan(count: int) -> RigView:
    """One splitter into so many amplifiers, a microphone on each, all into one mixer."""
    amps = [f"Amplifier {n} with a rather long name" for n in range(count)]
    links = [
        link("Splitter", amp, cable="patch", connectors="XLR to XLR", length_m=Decimal(12))
        for amp in amps
    ]
    links += [link(amp, "Mixer", cable=f"Return {n}") for n, amp in enumerate(amps)]
    mics = [mic_on(amp, f"Microphone on {n}, the near one", n) for n, amp in enumerate(amps)]
    return rig([unit(name) for name in ("Splitter", *amps, "Mixer")], links, mics)


def split(count: int) -> RigView:
    """The same, and nothing meets again."""
    whole = fan(count)
    return rig(list(whole.units[:-1]), list(whole.links[:count]), list(whole.inputs))


@pytest.mark.parametrize("view", [big(20), big(60), split(20), split(59)])
def test_sixty_stations_keep_their_names_readable_on_a_phone(view: RigView) -> None:
    # 390 px less the page's two edges of 16: names of 13 px must come out at 11.5 at least.
    assert assert_sound(view, PHONE_COLUMNS).width * 11.5 / 13 <= 390 - 2 * 16


def test_cables_of_one_kind_share_their_way_and_leave_by_one_port() -> None:
    drawn = {d.cable.target: d for d in assert_sound(split(12), PHONE_COLUMNS).drawn}
    starts = {d.points[0] for name, d in drawn.items() if name.startswith("Amplifier")}
    assert len(starts) == 3  # the first two straight below, and the ten that pass them
    ends = [d.points[-1] for d in drawn.values()]
    assert len(set(ends)) == len(ends)


@st.composite
def rigs(draw: st.DrawFn) -> RigView:
    count = draw(st.integers(1, 14))
    names = [f"Unit {n}" for n in range(count)]
    ends = st.integers(0, count - 1)
    pairs = draw(st.lists(st.tuples(ends, ends, st.text(max_size=30)), max_size=24))
    links = [link(names[a], names[b], cable=name) for a, b, name in pairs if a != b]
    mics = draw(st.lists(ends, max_size=6))
    inputs = [mic_on(names[at], f"Mic {n}", n) for n, at in enumerate(mics)]
    return rig([unit(name) for name in names], list({x.id: x for x in links}.values()), inputs)


@given(rigs(), st.sampled_from((1, PHONE_COLUMNS, COLUMNS)))
def test_nothing_overlaps_in_any_rig(view: RigView, columns: int) -> None:
    assert_sound(view, columns)


@given(rigs(), st.sampled_from((1, PHONE_COLUMNS, COLUMNS)))
def test_every_cable_but_those_closing_a_loop_runs_downwards(view: RigView, columns: int) -> None:
    graph = graph_of(view)
    for drawn in lay_out(graph, columns).drawn:
        (_, start), (_, end) = drawn.points[0], drawn.points[-1]
        assert (start > end) == (drawn.cable.id in graph.back)
        assert start != end


def test_a_chain_runs_straight_down() -> None:
    sheet = assert_sound(chain("Guitar", "Pedal", "Head"))
    boxes = [sheet.boxes[name] for name in ("Guitar", "Pedal", "Head")]
    assert len({box.x for box in boxes}) == 1
    assert boxes[0].y < boxes[1].y < boxes[2].y


def test_a_split_leads_to_both_and_a_merge_lies_below_both() -> None:
    view = rig(
        [unit(n) for n in ("Bass", "Splitter", "Head", "DI box", "Mixer")],
        [
            link("Bass", "Splitter"),
            link("Splitter", "Head"),
            link("Splitter", "DI box"),
            link("Head", "Mixer"),
            link("DI box", "Mixer"),
        ],
    )
    sheet = assert_sound(view)
    assert sheet.boxes["Head"].y == sheet.boxes["DI box"].y
    assert sheet.boxes["Head"].x != sheet.boxes["DI box"].x
    assert sheet.boxes["Mixer"].y > sheet.boxes["Head"].y > sheet.boxes["Splitter"].y


def test_inputs_end_the_path() -> None:
    view = rig([unit("Cabinet", "cabinet")], inputs=[mic_on("Cabinet", "Bass mic", 7)])
    sheet = assert_sound(view)
    assert sheet.boxes["Bass mic"].y > sheet.boxes["Cabinet"].y
    assert sentences(view) == ["Cabinet is taken up by input 7 Bass mic with Corvane Hollow 2."]


def test_a_loop_is_reported_and_drawn() -> None:
    view = rig(
        [unit("Head"), unit("Delay"), unit("Cabinet")],
        [link("Head", "Delay"), link("Delay", "Head"), link("Head", "Cabinet")],
        [mic_on("Cabinet", "Mic", 1)],
    )
    assert_sound(view)
    assert findings(view) == ["The path runs in a loop: Head → Delay → Head."]
    assert signal_path(view).count("path-loop") == 1


def test_loose_ends_are_reported() -> None:
    view = rig(
        [
            unit("Guitar", "guitar"),
            unit("Head", "head"),
            unit("Tuner"),
            unit("Supply", "power"),
            unit("Snare", "drum"),
        ],
        [link("Guitar", "Head")],
        [mic_on("", "Spare line", 9)],
    )
    assert findings(view) == [
        "The path ends at Head: nothing goes on, no input takes it up.",
        "Tuner is not connected to anything.",
        "No input takes up Snare.",
        "Nobody has said what 9 Spare line takes its sound from.",
    ]


def test_what_gets_power_alone_is_connected_to_nothing_that_sounds() -> None:
    view = rig(
        [unit("Fuzz", "pedal"), unit("Supply", "power")],
        [link("Supply", "Fuzz", carries="power")],
    )
    assert findings(view) == ["Fuzz is not connected to anything."]


def test_a_stereo_pair_stands_side_by_side_and_is_said() -> None:
    view = rig(
        [unit(n) for n in ("Keyboard", "Amp R", "Splitter", "Amp L")],
        [link("Keyboard", "Splitter"), link("Splitter", "Amp R"), link("Splitter", "Amp L")],
    )
    sheet = assert_sound(view)
    left, right = sheet.boxes["Amp L"], sheet.boxes["Amp R"]
    assert (left.y, right.x - left.x) == (right.y, WIDTH + GAP)
    assert "Amp L and Amp R are a stereo pair." in sentences(view)
    assert signal_path(view).count("path-pair") == 1


@EITHER
def test_a_pair_is_never_torn_apart_by_the_end_of_a_row(columns: int) -> None:
    names = ["A", "B", "Amp left", "Amp right"]
    view = rig([unit("Split"), *(unit(n) for n in names)], [link("Split", n) for n in names])
    sheet = assert_sound(view, columns)
    assert sheet.boxes["Amp left"].y == sheet.boxes["Amp right"].y


def test_a_cable_is_named_with_its_length() -> None:
    view = rig(
        [unit("Head"), unit("Cabinet")],
        [link("Head", "Cabinet", cable="Speaker cable", length_m=Decimal(3))],
    )
    root = ET.fromstring(signal_path(view))  # noqa: S314 - our own drawing
    (label,) = (e for e in root.iter(f"{SVG}text") if e.get("class") == "path-cable-name")
    titles = [e.text for e in root.iter(f"{SVG}title")]
    assert label.text == "Speaker cable, 3 m"
    assert "Speaker cable, 3 m (9.8 ft)" in titles
    assert sentences(view) == ["Head → Cabinet: Speaker cable, 3 m (9.8 ft)."]


def test_a_long_name_is_wrapped_cut_and_kept_whole_as_title() -> None:
    name = "Two-channel valve amplifier with the repaired output transformer"
    root = ET.fromstring(signal_path(rig([unit(name)])))  # noqa: S314
    lines = [e.text for e in root.iter(f"{SVG}text")]
    assert lines == ["Two-channel valve", "amplifier with the…"]
    assert max(map(len, lines)) <= UNIT_COLUMNS
    assert name in [e.text for e in root.iter(f"{SVG}title")]


def test_a_picture_alone_describes_itself_and_an_empty_rig_has_none() -> None:
    root = ET.fromstring(signal_path(chain("Guitar", "Head")))  # noqa: S314
    assert root.get("role") == "img"
    assert root.findtext(f"{SVG}title") == "Signal path of Bass main"
    assert root.findtext(f"{SVG}desc") == "Guitar → Head."
    assert signal_path(rig([])) == ""


def test_stations_may_lead_to_their_pages() -> None:
    root = ET.fromstring(signal_path(chain("Guitar"), links={"Guitar": "/u/?a=1&b=2"}))  # noqa: S314
    assert [e.get("href") for e in root.iter(f"{SVG}a")] == ["/u/?a=1&b=2"]


def test_a_marked_effects_loop_is_drawn_and_said_but_is_nothing_wrong() -> None:
    view = rig(
        [unit("Head"), unit("Delay"), unit("Cabinet")],
        [
            link("Head", "Delay", from_socket="FX send"),
            link("Delay", "Head", to_socket="FX return"),
            link("Head", "Cabinet"),
        ],
        [mic_on("Cabinet", "Mic", 1)],
    )
    assert_sound(view)
    assert findings(view) == []
    assert signal_path(view).count("path-loop") == 1
    assert "Head has an effects loop: what leaves its send comes back into its return." in (
        sentences(view)
    )


def test_a_cable_is_named_with_its_connectors_and_length() -> None:
    view = rig(
        [unit("Bass"), unit("Head")],
        [
            link(
                "Bass",
                "Head",
                cable="blue tape",
                connectors="¼ in to ¼ in angled",
                length_m=Decimal(6),
            )
        ],
        [mic_on("Head", "DI", 1)],
    )
    assert "Bass → Head: blue tape, ¼ in to ¼ in angled, 6 m (19.7 ft)." in sentences(view)
    bare = rig(
        [unit("Bass"), unit("Head")],
        [link("Bass", "Head", connectors="locking", length_m=Decimal(2))],
    )
    assert "locking, 2 m" in signal_path(bare)


def test_a_name_that_is_too_long_keeps_its_length_and_its_connectors() -> None:
    view = rig(
        [unit("Bass"), unit("Head")],
        [
            link(
                "Bass",
                "Head",
                cable="the blue one with the yellow tape",
                connectors="¼ in to ¼ in angled",
                length_m=Decimal(6),
            )
        ],
    )
    (drawn,) = assert_sound(view).drawn
    assert drawn.cable.label == ("the blue one with t…, 6 m", "¼ in to ¼ in angled")
