"""Loads and cables against closed forms, and against a nodal solution by numpy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rigs.signal import cables, loads
from rigs.signal.loads import Parallel, Series

OHMS = st.lists(st.floats(0.5, 1000), min_size=1, max_size=8)


# Closed form, resistive.
@pytest.mark.parametrize(
    ("wiring", "ohms", "shares"),
    [
        (Parallel((8, 8)), 4.0, [0.5, 0.5]),
        (Parallel((8, 16)), 5.3333, [0.6667, 0.3333]),
        (Parallel((8, 4)), 2.6667, [0.3333, 0.6667]),
        (Parallel((8, 8, 8, 8)), 2.0, [0.25] * 4),
        (Parallel((16, 16, 8)), 4.0, [0.25, 0.25, 0.5]),
        (Series((8, 8)), 16.0, [0.5, 0.5]),
        (Parallel((Series((8, 8)), Series((8, 8)))), 8.0, [0.25] * 4),
        (Series((8, 16)), 24.0, [0.3333, 0.6667]),
        (8, 8.0, [1.0]),
    ],
)
def test_wirings(wiring: loads.Wiring, ohms: float, shares: list[float]) -> None:
    assert loads.impedance(wiring) == pytest.approx(ohms, rel=1e-4)
    assert loads.power_shares(wiring) == pytest.approx(shares, abs=1e-4)


def test_nested_wiring_against_a_nodal_solution() -> None:
    # Independent judge: node voltages by numpy's linear solver. 1 V across 4 + (8 par (16 + 2)).
    wiring = Series((4, Parallel((8, Series((16, 2))))))
    g = np.array([[1 / 4 + 1 / 8 + 1 / 16, -1 / 16], [-1 / 16, 1 / 16 + 1 / 2]])
    one, two = np.linalg.solve(g, [1 / 4, 0])
    watts = np.array([(1 - one) ** 2 / 4, one**2 / 8, (one - two) ** 2 / 16, two**2 / 2])
    assert loads.impedance(wiring) == pytest.approx(1 / watts.sum())
    assert loads.power_shares(wiring) == pytest.approx(list(watts / watts.sum()))


# Closed form.
@pytest.mark.parametrize(("ohms", "watts"), [(8, 50), (4, 100)])
def test_power_of_20_volts(ohms: float, watts: float) -> None:
    assert loads.power_watts(20, ohms) == watts


# Ideal transformer.
@pytest.mark.parametrize(("load", "ratio"), [(4, 0.5), (8, 1.0), (16, 2.0)])
def test_load_on_an_8_ohm_tap(load: float, ratio: float) -> None:
    assert loads.tap_ratio(load, 8) == ratio


# Closed form: loss is 20 log10((k + 1) / k) for load over source k.
@pytest.mark.parametrize(
    ("k", "loss"),
    [(1, 6.0206), (2, 3.5218), (5, 1.5836), (10, 0.8279), (20, 0.4238), (100, 0.0864)],
)
def test_bridging(k: float, loss: float) -> None:
    assert loads.bridging_loss_db(k * 150, 150) == pytest.approx(-loss, abs=5e-5)


# Closed form; copper 1.724e-8 ohm m is from memory (IEC 60028).
@pytest.mark.parametrize(
    ("load", "metres", "area", "ohms", "loss"),
    [
        (8, 10, 2.5e-6, 0.13792, -0.1485),
        (4, 30, 1.5e-6, 0.68960, -1.3815),
        (8, 20, 4e-6, 0.17240, -0.1852),
    ],
)
def test_cable(load: float, metres: float, area: float, ohms: float, loss: float) -> None:
    resistance = cables.cable_resistance(metres, area)
    assert resistance == pytest.approx(ohms, rel=1e-4)
    assert cables.cable_loss_db(resistance, load) == pytest.approx(loss, abs=1e-4)


def test_power_lost_in_the_cable() -> None:
    # Closed form: 4 ohm over 30 m of 1.5 mm^2.
    assert cables.cable_power_share(0.68960, 4) == pytest.approx(0.14705, abs=1e-5)


def test_damping_factor() -> None:
    # Closed form.
    assert cables.damping_factor(8, 0.02) == pytest.approx(400)
    assert cables.damping_factor(8, 0.02, 0.13792) == pytest.approx(50.66, abs=0.005)


@given(ohms=OHMS)
def test_parallel_is_least_and_series_most(ohms: list[float]) -> None:
    assert loads.parallel(*ohms) <= min(ohms) * (1 + 1e-12)
    assert loads.series(*ohms) >= max(ohms)
    assert loads.parallel(*reversed(ohms)) == loads.parallel(*ohms)


@given(ohms=OHMS, group=st.sampled_from([Series, Parallel]))
def test_shares_make_one(ohms: list[float], group: type[Series | Parallel]) -> None:
    nested = Parallel((group(tuple(ohms)), Series((8.0, group(tuple(ohms))))))
    shares = loads.power_shares(nested)
    assert len(shares) == 2 * len(ohms) + 1
    assert sum(shares) == pytest.approx(1)


@given(metres=st.floats(0, 500), more=st.floats(0.1, 100))
def test_longer_cable_loses_more(metres: float, more: float) -> None:
    short, long = (cables.cable_resistance(m, 2.5e-6) for m in (metres, metres + more))
    assert cables.cable_loss_db(long, 8) < cables.cable_loss_db(short, 8) <= 0


def test_vector_equals_scalars() -> None:
    lengths = np.array([0.0, 5.0, 30.0])
    many = cables.cable_loss_db(cables.cable_resistance(lengths, 2.5e-6), 8)
    one = [cables.cable_loss_db(cables.cable_resistance(float(m), 2.5e-6), 8) for m in lengths]
    assert many.tolist() == one


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: loads.parallel(8, 0), "ohms must be above 0, got 0"),
        (lambda: loads.series(), "ohms must name at least one load, got none"),
        (lambda: loads.impedance(Series(())), "ohms must name at least one load, got none"),
        (lambda: loads.power_shares(Parallel((8, -8))), "ohms must be above 0, got -8"),
        (lambda: loads.power_shares(float("nan")), "ohms must be above 0, got nan"),
        (lambda: loads.tap_ratio(4, 0), "tap must be above 0, got 0"),
        (lambda: cables.cable_resistance(-1, 2e-6), "length must be 0 or more, got -1"),
        (lambda: cables.cable_resistance(1, 0), "area must be above 0, got 0"),
        (lambda: cables.cable_loss_db(-0.1, 8), r"resistance must be 0 or more, got -0\.1"),
        (
            lambda: cables.damping_factor(8, 0, 0),
            r"output_impedance plus resistance must be above 0, got 0\.0",
        ),
    ],
)
def test_nonsense_is_refused(call, message: str) -> None:
    with pytest.raises(ValueError, match=f"^{message}$"):
        call()
