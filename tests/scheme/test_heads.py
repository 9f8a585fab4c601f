"""A net of pipes whose answer is plain, and what is refused."""

import numpy as np
import pytest

from terrain_head.errors import InputError
from terrain_head.formulas.friction import head_loss_m
from terrain_head.scheme.heads import Net, solve_heads
from terrain_head.scheme.heads_stated import NoWayForWaterError, UntiedNodesError

NAN = float("nan")
WATER = 1.307e-6
PIPE = {"inside_m": 0.026, "roughness_m": 7e-6, "viscosity_m2_s": WATER}


def line(**changes: object) -> Net:
    """Return a tank, 200 m of pipe and a tap of 0.3 L/s."""
    stated: dict[str, object] = {
        "fixed_head_m": [30.0, NAN],
        "drawn_m3_s": [0.0, 0.3e-3],
        "start": [0],
        "end": [1],
        "length_m": 200.0,
        **PIPE,
    }
    return Net(**(stated | changes))  # type: ignore[arg-type]


def test_one_pipe_loses_what_the_formula_says() -> None:
    flow = solve_heads(line(loss_coefficient=1.5))
    loss = float(head_loss_m(0.3e-3, length_m=200.0, loss_coefficient=1.5, **PIPE))
    assert flow.head_m[1] == pytest.approx(30.0 - loss, abs=1e-9)
    assert flow.flow_m3_s[0] == pytest.approx(0.3e-3, rel=1e-12)


def test_a_ram_puts_in_its_lift_by_the_rise_of_head() -> None:
    net = Net(
        fixed_head_m=[0.0, NAN, 25.0], drawn_m3_s=0.0, start=[0, 1], end=[1, 2],
        length_m=[0.0, 300.0], inside_m=0.026, roughness_m=7e-6, lift_m4_s=[3e-3, NAN],
        viscosity_m2_s=WATER,
    )  # fmt: skip
    found = solve_heads(net)
    assert float(found.flow_m3_s[0] * found.head_m[1]) == pytest.approx(3e-3, rel=1e-9)
    assert found.head_m[1] > 25.0


def test_an_outlet_by_its_power_gives_what_its_head_says() -> None:
    coefficient, exponent = 2e-5, 0.5
    found = solve_heads(
        Net(
            fixed_head_m=[30.0, NAN, 5.0], drawn_m3_s=0.0, start=[0, 1], end=[1, 2],
            length_m=[200.0, 0.0], inside_m=[0.026, NAN], roughness_m=7e-6,
            power_coefficient=[0.0, (1 / coefficient) ** (1 / exponent)],
            power_exponent=1 / exponent, viscosity_m2_s=WATER,
        )
    )  # fmt: skip
    head = float(found.head_m[1]) - 5.0
    assert found.flow_m3_s[1] == pytest.approx(coefficient * head**exponent, rel=1e-8)


def test_an_open_end_above_the_water_lets_nothing_in() -> None:
    net = Net(
        fixed_head_m=[10.0, NAN, 12.0], drawn_m3_s=[0.0, 0.1e-3, 0.0], start=[0, 1], end=[1, 2],
        length_m=[50.0, 50.0], one_way=[False, True], **PIPE,
    )  # fmt: skip
    found = solve_heads(net)
    assert found.flow_m3_s[1] == 0.0
    assert found.flow_m3_s[0] == pytest.approx(0.1e-3, rel=1e-12)


def test_nodes_that_hang_on_nothing_are_named() -> None:
    with pytest.raises(UntiedNodesError, match="nodes 2, 3") as raised:
        solve_heads(
            line(fixed_head_m=[30, NAN, NAN, NAN], drawn_m3_s=0.0, start=[0, 2], end=[1, 3])
        )
    assert raised.value.nodes == (2, 3)


def test_water_that_cannot_come_is_refused() -> None:
    with pytest.raises(NoWayForWaterError, match="node 1") as raised:
        solve_heads(line(start=[1], end=[0], one_way=True))
    assert raised.value.nodes == (1,)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"length_m": -1.0}, "link 0: a length"),
        ({"length_m": 0.0}, "link 0: neither length, loss nor lift"),
        ({"inside_m": NAN}, "inside diameter"),
        ({"roughness_m": -1e-6}, "roughness"),
        ({"loss_coefficient": NAN}, "loss coefficient"),
        ({"power_coefficient": -1.0}, "power coefficient"),
        ({"power_coefficient": 1.0, "power_exponent": 0.5}, "an exponent under 1"),
        ({"lift_m4_s": -1.0}, "a lift"),
        ({"end": [7]}, "not in the net"),
        ({"fixed_head_m": [[30.0, NAN], [30.0, 2.0]]}, "in some draws"),
        ({"fixed_head_m": [np.inf, NAN]}, "infinite"),
        ({"drawn_m3_s": [0.0, NAN]}, "not a number"),
        ({"viscosity_m2_s": 0.0}, "viscosity"),
        ({"length_m": [1.0, 2.0]}, "do not fit together"),
    ],
)
def test_what_no_net_can_be_is_told(changes: dict[str, object], said: str) -> None:
    with pytest.raises(InputError, match=said):
        solve_heads(line(**changes))


def test_a_ram_with_nothing_to_lift_against_is_told() -> None:
    with pytest.raises(InputError, match="no height to lift to"):
        solve_heads(line(fixed_head_m=[5.0, 2.0], length_m=0.0, lift_m4_s=1e-3))
