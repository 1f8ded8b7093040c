"""The benchmark of decisions: its figures with their intervals, its tables and aims."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from regret.figures import INTERVAL, difference, loss, mean_of, regret, share_of
from regret.outcome import Outcome
from regret.run import Job
from regret.table import text


def test_regret_and_share_of_the_gain() -> None:
    habit, perfect = np.array([100.0, 200.0]), np.array([200.0, 300.0])
    found = regret(habit, perfect, np.array([190.0, 270.0]))
    assert found.gain.value == pytest.approx(100 / 150)
    assert found.lost.value == pytest.approx(20 / 250)
    assert found.share.value == pytest.approx(0.8)
    assert found.better.value == 1.0
    assert found.worst_money == 70.0


def test_a_mean_over_houses_draws_the_same_seasons_in_each() -> None:
    nets = np.array([100.0, 200.0, 300.0, 400.0])
    shifted = [loss(nets, nets - apart) for apart in (np.full(4, 10.0), np.array([0, 0, 0, 80.0]))]
    mean = mean_of(shifted)
    assert mean.value == pytest.approx(0.06)  # (10 + 20) / 2 of 250
    apart = [(10.0 + value) / 2.0 for value in (0.0, 0.0, 0.0, 80.0)]
    together = loss(nets, nets - np.array(apart))
    assert (mean.low, mean.high) == pytest.approx((together.low, together.high))
    pooled = mean_of(shifted, weights=[3, 1])
    assert pooled.value == pytest.approx((3 * 0.04 + 0.08) / 4)


def _told(**nets: list[float]) -> str:
    """Tables of a house whose seasons brought so much by each method."""
    seasons = [f"blocks {n}" for n in range(len(next(iter(nets.values()))))]
    known = {
        Job("tiny", name, method.replace("_", "-")): Outcome(net, {"syrup": net})
        for method, of_seasons in nets.items()
        for name, net in zip(seasons, of_seasons, strict=True)
    }
    methods = [method.replace("_", "-") for method in nets]
    return text(known, ["tiny"], methods, seasons)


def _aim(told: str, words: str) -> list[str]:
    line = next(each for each in told.splitlines() if each.startswith(f"| {words}"))
    return [each.strip() for each in line.strip("|").split("|")]


def test_aims_are_told_with_their_intervals_and_missed_ones_as_missed() -> None:
    habit, perfect = [100.0, 200.0], [200.0, 400.0]
    told = _told(habit=habit, perfect=perfect, plan=[196.0, 392.0])
    assert _aim(told, "mean regret at most")[1:] == ["2.0 % (2.0 to 2.0)", "yes"]
    assert _aim(told, "better than habit")[1:] == ["100.0 % (42.5 to 100.0)", "yes"]
    tables = told.partition("### tiny")[2]
    assert "late" not in tables
    assert "elsewhere" not in tables
    told = _told(habit=habit, perfect=perfect, plan=[200.0, 190.0])
    assert _aim(told, "mean regret at most")[1:] == ["35.0 % (0.0 to 52.5)", "**no**"]
    assert _aim(told, "better than habit")[1:] == ["50.0 % (12.1 to 87.9)", "**no**"]


def test_lateness_and_a_wrong_house_have_tables_of_their_own() -> None:
    plan = [200.0, 400.0]
    told = _told(
        habit=[100.0, 200.0], perfect=plan, plan=plan, late=[190.0, 380.0],
        habit_late=[90.0, 190.0], habit_elsewhere=[80.0, 80.0], perfect_elsewhere=[110.0, 110.0],
        elsewhere=[101.0, 108.0],
    )  # fmt: skip
    assert _aim(told, "lateness costs at most")[1:] == ["5.0 % (5.0 to 5.0)", "**no**"]
    assert "| tiny | 2 | 15 (10 to 20) | 10 (10 to 10) | 145 (100 to 190) |" in told
    assert "| tiny | 2 | 37.5 % (37.5 to 37.5) | 5.0 % (1.8 to 8.2) |" in told


def _of_houses(*nets: tuple[str, str, list[float]]) -> str:
    """Tables of seasons of some houses: house, method, and what each season brought."""
    known = {
        Job(house, f"blocks {n}", method): Outcome(net, {"syrup": net})
        for house, method, of_seasons in nets
        for n, net in enumerate(of_seasons)
    }
    houses, methods = (list(dict.fromkeys(each[place] for each in nets)) for place in (0, 1))
    return text(known, houses, methods, [f"blocks {n}" for n in range(4)])


def test_of_no_season_nothing_is_said_to_be_reached() -> None:
    told = text({}, ["tiny"], ["habit", "plan"], ["blocks 0"])
    aims = told.partition("### Aims")[2]
    assert "| no dry pan, no fire left alone | no season known |  |" in aims
    assert "yes" not in aims
    assert "| 0 | yes |" in _told(habit=[100.0], perfect=[110.0], plan=[109.0])


def test_a_wrong_house_has_its_mean_over_houses_among_the_aims() -> None:
    told = _of_houses(
        *((house, method, [net, net])
          for house, lost in (("tiny", 5.0), ("evenings", 15.0))
          for method, net in (("habit-elsewhere", 50.0), ("perfect-elsewhere", 100.0),
                              ("elsewhere", 100.0 - lost)))
    )  # fmt: skip
    words = "regret where the house is not as believed"
    assert _aim(told, "mean of 2 houses, 4 seasons: ")[0].endswith(words)
    assert _aim(told, "mean of 2 houses, 4 seasons: ")[1] == "10.0 % (10.0 to 10.0)"
    assert _aim(told, f"tiny: {words}")[1] == "5.0 % (5.0 to 5.0)"
    assert _aim(told, f"evenings: {words}")[1] == "15.0 % (15.0 to 15.0)"


def test_of_houses_that_are_told_alike_the_less_sure_is_the_worst_in_whatever_order() -> None:
    sure, unsure = [96.0, 96.0, 96.0, 96.0], [92.02, 100.0, 92.02, 100.0]  # 4.00 and 3.995 %
    for order in (("tiny", "evenings"), ("evenings", "tiny")):
        nets = {"tiny": sure, "evenings": unsure}
        told = _of_houses(
            *((house, method, values)
              for house in order
              for method, values in (("habit", [50.0] * 4), ("perfect", [100.0] * 4),
                                     ("plan", nets[house])))
        )  # fmt: skip
        line = _aim(told, "regret in each (most: evenings) at most 6 %")
        assert line[1].startswith("4.0 % (")
        assert line[1] != "4.0 % (4.0 to 4.0)"
        assert line[1] in next(each for each in told.splitlines() if "| evenings | 4 |" in each)


def test_lines_that_are_subtracted_are_of_the_same_springs() -> None:
    told = _of_houses(
        ("tiny", "habit", [10.0, 20.0, 30.0, 900.0]),
        ("tiny", "perfect", [20.0, 30.0, 40.0]),
        ("tiny", "plan", [18.0, 28.0]),
        ("tiny", "late", [17.0, 27.0, 37.0, 907.0]),
    )
    of_house = told.partition("### Regret")[0]
    for method, seasons, net in (
        ("habit", 2, "15"), ("perfect", 2, "25"), ("plan", 2, "23"), ("late", 4, "247"),
    ):  # fmt: skip
        assert f"| {method} | {seasons} | {net} |" in of_house
    assert "only such lines may be subtracted" in of_house


def test_shares_have_the_interval_of_wilson() -> None:
    for wins, count in ((10, 10), (98, 98), (7, 12), (0, 5)):
        found = share_of(wins / count, count)
        theirs = stats.binomtest(wins, count).proportion_ci(0.9, method="wilson")
        assert (found.low, found.high) == pytest.approx((theirs.low, theirs.high), abs=1e-4)


def test_intervals_are_those_of_scipy() -> None:
    source = np.random.default_rng(8)
    first, second = source.normal(10.0, 4.0, 50), source.normal(8.0, 4.0, 50)
    found = difference(first, second)
    theirs = stats.bootstrap(
        (first - second,), np.mean, confidence_level=INTERVAL[1] - INTERVAL[0],
        n_resamples=4000, method="percentile", rng=1,
    ).confidence_interval  # fmt: skip
    # 4000 draws each: the ends wander by some 3 % of the standard error, here 0.8
    assert found.low == pytest.approx(theirs.low, abs=0.1)
    assert found.high == pytest.approx(theirs.high, abs=0.1)
