"""What each link of a net takes from the head, and how fast that grows with its flow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from terrain_head.base.units import STANDARD_GRAVITY_M_S2
from terrain_head.formulas.friction import head_loss_and_slope_per_metre

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

LEAST_LIFTED = 1e-6
"""Share of its usual flow that a ram must pass; less would lift it a million times too high."""
TRIFLE = 1e-12
"""Loss, by the spread of the fixed heads, that does not matter."""
USUAL_VELOCITY_M_S = 0.5
"""From here a pipe's flow is sought; the answer does not depend on it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Links:
    """The laws of the links of a net, every array of shape (draws, m).

    Parameters
    ----------
    length_m, inside_m, roughness_m
        Pipe; a link of no length has no friction [m].
    minor_s2_m5
        Loss of the fittings by the square of the flow [s2/m5].
    power, exponent
        A further loss ``power |q|^exponent``.
    lift_m4_s
        Head times flow that a ram gives, 0 where there is none [m4/s].
    one_way
        Whether water is held back from end to start.
    viscosity_m2_s
        Kinematic viscosity [m2/s].
    usual_m3_s
        A flow of about the size to be expected, more than 0 [m3/s].
    least_m3_s
        Below this flow fittings and powers take next to nothing; their slope is not let fall
        further, since it would come to nothing [m3/s].
    dam
        Slope of held-back links below still water, shape (draws, 1): while the heads are sought
        such a link leaks about 1e-8 of the usual flow instead of nothing [s/m2].
    """

    length_m: FloatArray
    inside_m: FloatArray
    roughness_m: FloatArray
    minor_s2_m5: FloatArray
    power: FloatArray
    exponent: FloatArray
    lift_m4_s: FloatArray
    one_way: BoolArray
    viscosity_m2_s: float
    usual_m3_s: FloatArray
    least_m3_s: FloatArray
    dam: FloatArray

    @classmethod
    def of(
        cls,
        *,
        length_m: FloatArray,
        inside_m: FloatArray,
        roughness_m: FloatArray,
        loss_coefficient: FloatArray,
        power: FloatArray,
        exponent: FloatArray,
        lift_m4_s: FloatArray,
        one_way: BoolArray,
        viscosity_m2_s: float,
        spread_m: FloatArray,
    ) -> Links:
        """Return the links as a net states them.

        Parameters
        ----------
        length_m, inside_m, roughness_m
            Pipes [m].
        loss_coefficient
            Of the fittings, in velocity heads [1].
        power, exponent, one_way
            As above.
        lift_m4_s
            Of rams [m4/s].
        viscosity_m2_s
            Kinematic viscosity [m2/s].
        spread_m
            Highest less lowest fixed head, shape (draws,) [m].
        """
        bare = (length_m == 0) & (loss_coefficient == 0)
        inside_m = np.where(bare, 1.0, inside_m)
        area_m2 = np.pi * inside_m**2 / 4
        head_m = np.where(spread_m > 0, spread_m, 1.0)[:, np.newaxis]
        usual = np.where(bare, np.inf, USUAL_VELOCITY_M_S * area_m2)
        minor = loss_coefficient / (2 * STANDARD_GRAVITY_M_S2 * area_m2**2)
        trifle_m = TRIFLE * np.maximum(spread_m, 1e-3)[:, np.newaxis]
        with np.errstate(divide="ignore"):
            least = np.where(minor > 0, np.sqrt(trifle_m / minor), np.inf)
            least = np.where(
                power > 0, np.minimum(least, (trifle_m / power) ** (1 / exponent)), least
            )
            by_power = np.where(power > 0, (head_m / power) ** (1 / exponent), np.inf)
            by_lift = np.where(lift_m4_s > 0, lift_m4_s / head_m, np.inf)
        usual = np.minimum(np.minimum(usual, by_power), by_lift)
        usual = np.where(np.isfinite(usual), usual, 1.0)
        widest = usual.max(axis=1, initial=1e-15, keepdims=True)
        return cls(
            length_m=length_m,
            inside_m=inside_m,
            roughness_m=roughness_m,
            minor_s2_m5=minor,
            power=power,
            exponent=exponent,
            lift_m4_s=lift_m4_s,
            one_way=one_way & ~(lift_m4_s > 0),
            viscosity_m2_s=viscosity_m2_s,
            usual_m3_s=usual,
            least_m3_s=np.where(np.isfinite(least), least, 0.0),
            dam=1e8 * np.maximum(spread_m[:, np.newaxis], 1.0) / widest,
        )

    def draws(self, rows: NDArray[np.intp]) -> Links:
        """Return the links of some of the draws, each once and in order."""
        if rows.size == self.usual_m3_s.shape[0]:
            return self
        return Links(
            length_m=self.length_m[rows],
            inside_m=self.inside_m[rows],
            roughness_m=self.roughness_m[rows],
            minor_s2_m5=self.minor_s2_m5[rows],
            power=self.power[rows],
            exponent=self.exponent[rows],
            lift_m4_s=self.lift_m4_s[rows],
            one_way=self.one_way[rows],
            viscosity_m2_s=self.viscosity_m2_s,
            usual_m3_s=self.usual_m3_s[rows],
            least_m3_s=self.least_m3_s[rows],
            dam=self.dam[rows],
        )

    def held(self, flow_m3_s: FloatArray) -> BoolArray:
        """Say where water would go the way that its link does not let it."""
        return np.asarray(self.one_way & (flow_m3_s < 0))

    def loss_m(self, flow_m3_s: FloatArray) -> FloatArray:
        """Return the loss of every link, held-back water leaking through its dam [m]."""
        loss, _ = self.loss_and_slope(flow_m3_s)
        return self.dammed(loss, flow_m3_s=flow_m3_s)

    def dammed(self, loss_m: FloatArray, *, flow_m3_s: FloatArray) -> FloatArray:
        """Return losses with those of dams where water is held back [m]."""
        return np.where(self.held(flow_m3_s), self.dam * flow_m3_s, loss_m)

    def loss_and_slope(self, flow_m3_s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Return the loss of every link, and a slope that is never 0.

        Parameters
        ----------
        flow_m3_s
            Flow from start to end, shape (draws, m) [m3/s].

        Returns
        -------
        tuple of FloatArray
            Loss from start to end [m], and by how much it grows with the flow [s/m2].

        Notes
        -----
        The loss is exact; a raised slope changes the way to the answer, not the answer. A link
        whose water is held back is continued below still water along its own slope there, and a
        lift below a millionth of its usual flow likewise: both only steer the way.
        """
        flow = np.where(self.one_way, np.maximum(flow_m3_s, 0.0), flow_m3_s)
        size = np.abs(flow)
        lifted = np.maximum(size, self.least_m3_s)
        loss = self.minor_s2_m5 * flow * size
        slope = 2 * self.minor_s2_m5 * lifted
        pipes = np.flatnonzero((self.length_m > 0).any(axis=0))
        if pipes.size:
            friction, friction_slope = head_loss_and_slope_per_metre(
                flow[:, pipes],
                inside_m=self.inside_m[:, pipes],
                roughness_m=self.roughness_m[:, pipes],
                viscosity_m2_s=self.viscosity_m2_s,
            )
            loss[:, pipes] += self.length_m[:, pipes] * friction
            slope[:, pipes] += self.length_m[:, pipes] * friction_slope
        bent = np.flatnonzero((self.power > 0).any(axis=0))
        if bent.size:
            power, exponent = self.power[:, bent], self.exponent[:, bent]
            loss[:, bent] += np.copysign(power * size[:, bent] ** exponent, flow[:, bent])
            slope[:, bent] += power * exponent * lifted[:, bent] ** (exponent - 1)
        rams = np.flatnonzero((self.lift_m4_s > 0).any(axis=0))
        if rams.size:
            lift, floor = self.lift_m4_s[:, rams], LEAST_LIFTED * self.usual_m3_s[:, rams]
            running = np.maximum(flow[:, rams], floor)
            beyond = flow[:, rams] - running
            loss[:, rams] += lift / running * (beyond / running - 1)
            slope[:, rams] += lift / running**2
        loss += np.where(self.one_way, np.minimum(flow_m3_s, 0.0) * slope, 0.0)
        return loss, slope

    def from_still_water(self) -> tuple[FloatArray, FloatArray]:
        """Return losses and slopes of a first step, every link as stiff as at a usual flow.

        Returns
        -------
        tuple of FloatArray
            Loss at the flow to begin from, still water but in a ram [m], and slope [s/m2].
        """
        usual, ram = self.usual_m3_s, self.lift_m4_s > 0
        chord = np.abs(self.loss_m(usual)) / usual
        stiff = 100 * self.lift_m4_s / usual**2
        loss = np.where(ram, -self.lift_m4_s / usual, 0.0)
        return loss, np.where(ram, stiff, np.maximum(chord, 1e-12))

    def eased(self, slope: FloatArray, *, flow_m3_s: FloatArray, fall_m: FloatArray) -> FloatArray:
        """Return slopes that bring each ram to the flow that fits the head above it now.

        Parameters
        ----------
        slope
            As of `loss_and_slope` [s/m2].
        flow_m3_s
            Flow [m3/s].
        fall_m
            Head at the start less head at the end [m].

        Notes
        -----
        The chord from a flow q to the flow that a rise r of head leaves, lift / r, has the slope
        r / q, which is the curve's own once the two fit. A ram nearly drowned goes to its usual
        flow. Any slope above 0 leaves the answer as it is.
        """
        ram = self.lift_m4_s > 0
        if not ram.any():
            return slope
        floor = LEAST_LIFTED * self.usual_m3_s
        running = np.maximum(flow_m3_s, floor)
        own = self.lift_m4_s / running**2
        chord = own * np.clip(-fall_m * running / np.where(ram, self.lift_m4_s, 1.0), 1e-3, 1e3)
        drowned = own * (2 * running - flow_m3_s) / self.usual_m3_s
        new = np.where(flow_m3_s > 2 * floor, chord, drowned)
        return np.where(ram, slope - own + new, slope)
