"""The compiled heart of the moisture simulation: one run, hour by hour, on plain arrays.

Everything that the compiled loop calls stands in this one file, since the cache of the compiler does not see
a change in another. Without numba these are ordinary, slow functions: ``vectorised`` takes their place.

Unknowns are the moisture of the cells and of the two faces, which hold no water and take up what the flows on
both sides of them leave over. Newton's method on the implicit scheme; each of its steps solves a
conservative linear set of flows, so that the water balance closes whatever the number of steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from importlib.util import find_spec
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

__all__ = ["FACE_SIZE", "HAS_COMPILER", "TOTALS", "is_close", "run_one"]

_F = TypeVar("_F", bound=Callable[..., Any])
Row = NDArray[np.float64]
HAS_COMPILER = find_spec("numba") is not None  # else the plain arrays of ``vectorised`` do the same work
if HAS_COMPILER:
    import numba


def _compiled(function: _F) -> _F:
    if not HAS_COMPILER:
        return function
    how: Any = {"nogil": True, "error_model": "numpy", "fastmath": {"contract", "nsz"}}
    try:  # there may be nowhere to keep compiled code
        return cast("_F", numba.njit(cache=True, **how)(function))
    except RuntimeError:
        return cast("_F", numba.njit(**how)(function))


# a run's parameters: of the timber, then two blocks of a face's
DENSITY, GRAVITY, BOUND, LIQUID, FULL, AFTER_RAIN, START = range(7)
FILM, CATCH, KEEPS, SUN, CONTACT, HOLD, HELD, OVER = range(8)
FRONT, BACK = 7, 15
# constants of the laws
D0, ENERGY, SLOPE, PORE0, PORE1, FREE, BLEND, FROZEN, E0 = range(9)
MAGNUS_A, MAGNUS_B, COLDEST, COOLING, ACTIVATION, REFERENCE, SORPTION = range(9, 16)
# what a face meets in a step, and the three flows that are found
OUTWARD, INWARD, SUPPLY, WIDTH, K, K1, K2, TOP, RISE, G_LIQUID, G_HOLD, HOLD_AT = range(12)
TAKEN, HELD_IN, TOTAL, DRYING, FACE_SIZE = range(12, 17)
# water accounted for at a face [kg/m2]
ARRIVED, TAKEN_UP, RUN_OFF, EVAPORATED, CONDENSED, FROM_HOLD, DRIED, TOTALS = range(8)

GAS, VAPOUR_GAS, KELVIN = 8.314462618, 461.52, 273.15
TOLERANCE_PCT, NEAR_PCT, MOST_STEPS, MOST_PIECES, SETTLED_PCT, MOST_SETTLING = 1e-4, 0.1, 30, 256, 1e-3, 80


@_compiled
def _exp(x: float) -> float:
    """e^x to some 1e-12 for x from -40 to 40, free of branches and calls: several are done at a time."""
    z = x * (1.0 / 256.0)
    p = 1.0 + z * (1.0 / 7.0 + z * (1.0 / 56.0 + z * (1.0 / 504.0)))
    p = 1.0 + z * (1.0 / 3.0 + z * (1.0 / 12.0 + z * (1.0 / 60.0 + z * (1.0 / 360.0) * p)))
    p = 1.0 + z * (1.0 + z * 0.5 * p)
    for _ in range(8):
        p *= p
    return p


@_compiled
def is_close(change: Any, before: Any) -> Any:
    """Whether Newton's method may stop after two changes [%], of which each is as the square of the last."""
    small = change * change * change < TOLERANCE_PCT * before * before
    return (change < TOLERANCE_PCT) | (small & (change < NEAR_PCT))


@_compiled
def _split(moisture: float, free: float, blend: float) -> tuple[float, float]:
    """Free water [%] in wood of a moisture [%], and its slope: none up to fibre saturation, then the rest.

    A smooth change between. The remainder is bound. Each moves down its own gradient, so that a flow always
    rises with the moisture behind it and falls with that before it: no jump of diffusivity can mislead it.
    """
    over = moisture - free
    x = min(max(over / blend, 0.0), 1.0)
    curved = blend * x * x * x * (1.0 - 0.5 * x)
    return curved + max(over - blend, 0.0), x * x * (3.0 - 2.0 * x)


@_compiled
def _diffusivity(held: float, base: float, tilt: float, dry: float, wet: float) -> tuple[float, float]:
    """Diffusivity [m2/s] of bound water in wood that holds so much of it [%], and its slope.

    ``base`` is that of the dry cell wall, ``tilt`` the slope of its logarithm, both at the temperature; pores
    fill the share ``dry`` of dry wood, less by ``wet`` for each % held.
    """
    empty = max(dry - wet * held, 1e-30)
    pore = math.sqrt(empty)
    one, two = 1.0 - pore, 1.0 - empty
    inverse = 1.0 / (one * two)
    value = base * _exp(tilt * held) * inverse
    bend = 0.5 * wet * (two + 2.0 * pore * one) * inverse / pore
    return value, value * (tilt - (bend if empty > 1e-20 else 0.0))


@_compiled
def _sorption(s: float, face: Row) -> tuple[float, float, float]:
    """Moisture [%] of a face of state s, its slope, and humidity: s up to saturation, 1 above it."""
    if s >= 1.0:
        return face[TOP] + face[RISE] * (s - 1.0), face[RISE], 1.0
    y = face[K] * s
    k1, k12 = face[K1], face[K1] * face[K2]
    above, below = (k1 + 2.0 * k12 * y) * y, 1.0 + (k1 + k12 * y) * y
    moisture = face[WIDTH] * (y / (1.0 - y) + above / below)
    bend = ((k1 + 4.0 * k12 * y) * below - above * (k1 + 2.0 * k12 * y)) / (below * below)
    return moisture, face[WIDTH] * face[K] * (1.0 / ((1.0 - y) * (1.0 - y)) + bend), s


@_compiled
def _set_face(face: Row, air_pa: float, face_c: float, state: float, own: Row, law: Row) -> None:
    """Write what a face meets: its vapour exchange, sorption at its temperature, and what it is joined to."""
    exchange = own[FILM] / (VAPOUR_GAS * (face_c + KELVIN))
    full = law[E0] * math.exp(law[MAGNUS_A] * face_c / (law[MAGNUS_B] + face_c))
    # a face that gives off vapour is cooler than the air by what that takes, the more so the damper it is
    bend = law[MAGNUS_A] * law[MAGNUS_B] / (law[MAGNUS_B] + face_c) ** 2 - 1.0 / (face_c + KELVIN)
    exchange /= 1.0 + law[COOLING] * exchange * full * bend * min(state, 1.0)
    face[OUTWARD], face[INWARD] = exchange * full, exchange * min(air_pa, full)  # dew runs off
    face[DRYING] = own[OVER] * max(full - air_pa, 0.0) / (VAPOUR_GAS * (face_c + KELVIN))
    c, t = law[SORPTION:], max(face_c, law[COLDEST])
    face[WIDTH] = 1800.0 / (c[0] + t * (c[1] + t * c[2]))
    face[K] = c[3] + t * (c[4] + t * c[5])
    face[K1] = c[6] + t * (c[7] + t * c[8])
    face[K2] = c[9] + t * (c[10] + t * c[11])
    face[TOP], face[RISE] = 0.0, 1.0
    face[TOP], face[RISE], _ = _sorption(1.0 - 1e-15, face)
    face[G_LIQUID], face[G_HOLD], face[HOLD_AT] = own[CONTACT], own[HOLD], own[HELD]


@_compiled
def _into_face(
    moisture: float, rise: float, humidity: float, full: float, face: Row
) -> tuple[float, float, float, float]:
    """Water into a face from outside [kg/(m2 s)], minus its slope, and the liquid's part of both.

    Liquid is the lesser of what is there and what the wood draws in. Wood wetter than full gives water off:
    so the flow falls all the way with moisture.
    """
    flow = face[INWARD] - face[OUTWARD] * humidity + face[G_HOLD] * (face[HOLD_AT] - moisture)
    slope = face[G_HOLD] + (face[OUTWARD] / rise if humidity < 1.0 else 0.0)
    wanted = face[G_LIQUID] * (full - moisture)
    if face[SUPPLY] <= 0.0:
        return flow, slope, 0.0, 0.0
    if wanted >= face[SUPPLY]:
        return flow + face[SUPPLY], slope, face[SUPPLY], 0.0
    return flow + wanted, slope + face[G_LIQUID], wanted, face[G_LIQUID]


@_compiled
def _settle(
    guess: float, beside: float, D1: float, link: float, base: float, tilt: float, liquid: float, face: Row,
    par: Row, law: Row,
) -> float:  # fmt: skip
    """State s of a face in balance with the cell beside it: Newton's method kept within a closing bracket.

    What comes from outside falls with its moisture and what it passes on rises, so there is one answer; but
    the curve is flat, steep and flat again, and the bare method may jump to and fro for ever.
    """
    free, blend = law[FREE], law[BLEND]
    dry, wet = 1.0 - par[GRAVITY] * law[PORE0], par[GRAVITY] * law[PORE1]
    loose1, _ = _split(beside, free, blend)
    held1 = beside - loose1
    highest = max(max(beside, par[FULL]), face[HOLD_AT])
    low, high = 0.0, 1.0 + float(max(highest - face[TOP], 0.0) / face[RISE])
    s = min(max(guess, low), high)
    for _ in range(MOST_SETTLING):
        moisture, rise, humidity = _sorption(s, face)
        flow, slope, _, _ = _into_face(moisture, rise, humidity, par[FULL], face)
        loose, share = _split(moisture, free, blend)
        held = moisture - loose
        D, bend = _diffusivity(held, base, tilt, dry, wet)
        rest = flow - link * (0.5 * (D + D1) * (held - held1) + liquid * (loose - loose1))
        slope += link * (0.5 * (D + D1 + bend * (held - held1)) * (1.0 - share) + liquid * share)
        if rest > 0.0:
            low = s
        else:
            high = s
        step = rest / (slope * rise)
        if abs(step) * rise < SETTLED_PCT:
            return s + step
        s += step
        if not low < s < high:
            s = 0.5 * (low + high)
    return s


@_compiled
def _solve(
    u: Row, s: Row, old: Row, hold: Row, link: Row, base: Row, tilt: Row, faces: Row,
    par: Row, law: Row, liquid: float, w: Row,
) -> tuple[bool, int]:  # fmt: skip
    """One implicit step: moisture ``u`` of face, cells, face from ``old``; whether it converged, else where.

    ``hold`` is a cell's water for 1 % over the step's length, ``link`` the conductance for unit diffusivity.
    """
    free_from, blend = law[FREE], law[BLEND]
    dry, wet = 1.0 - par[GRAVITY] * law[PORE0], par[GRAVITY] * law[PORE1]
    last = u.size - 1
    D, slope, rest, up, loose, share, held = w[0], w[1], w[2], w[3], w[4], w[5], w[7]
    worst, before = 0, 0.0
    for _ in range(MOST_STEPS):
        for j in range(1, last):
            loose[j], share[j] = _split(u[j], free_from, blend)
            held[j] = u[j] - loose[j]
            D[j], slope[j] = _diffusivity(held[j], base[j], tilt[j], dry, wet)
        for f in range(2):
            j, beside, at = f * last, 1 + f * (last - 2), f * (last - 1)
            s[f] = _settle(s[f], u[beside], D[beside], link[at], base[j], tilt[j], liquid, faces[f], par, law)
            u[j], _, _ = _sorption(s[f], faces[f])
            loose[j], share[j] = _split(u[j], free_from, blend)
            held[j] = u[j] - loose[j]
            D[j], slope[j] = _diffusivity(held[j], base[j], tilt[j], dry, wet)
        m0, rise0, h0 = _sorption(s[0], faces[0])
        m1, rise1, h1 = _sorption(s[1], faces[1])
        q0, k0, l0, kl0 = _into_face(m0, rise0, h0, par[FULL], faces[0])
        q1, k1, l1, kl1 = _into_face(m1, rise1, h1, par[FULL], faces[1])
        # flows and the upper triangle of the linear set in one sweep; "_last" is of the link or row before
        b_last, a_last, flow_last, inverse, y = k0, 0.0, q0, 0.0, 0.0
        for j in range(last):
            drop, free = held[j] - held[j + 1], link[j] * liquid
            half, both = 0.5 * link[j], D[j] + D[j + 1]
            flow = half * both * drop + free * (loose[j] - loose[j + 1])
            a = half * (both + slope[j] * drop) * (1.0 - share[j]) + free * share[j]
            b = half * (both - slope[j + 1] * drop) * (1.0 - share[j + 1]) + free * share[j + 1]
            right = flow_last - flow - hold[j] * (u[j] - old[j])
            inverse = 1.0 / (hold[j] + a + b_last - a_last * b_last * inverse)
            y = (right + a_last * y) * inverse
            up[j], rest[j] = b * inverse, y
            b_last, a_last, flow_last = b, a, flow
        last_change = change = (flow_last + q1 + a_last * y) / (b_last + k1 - a_last * b_last * inverse)
        u[last] += change
        largest, worst = abs(change), last
        for j in range(last - 1, -1, -1):
            change = rest[j] + up[j] * change
            u[j] += change
            if abs(change) > largest:
                largest, worst = abs(change), j
        if not largest < 1e9:
            return False, worst
        # flows of the linear set just solved: they are what the cells received
        faces[0, TOTAL] = q0 - k0 * change
        faces[1, TOTAL] = q1 - k1 * last_change
        faces[0, TAKEN], faces[1, TAKEN] = l0 - kl0 * change, l1 - kl1 * last_change
        faces[0, HELD_IN] = faces[0, G_HOLD] * (faces[0, HOLD_AT] - u[0])
        faces[1, HELD_IN] = faces[1, G_HOLD] * (faces[1, HOLD_AT] - u[last])
        s[0] = max(s[0] + change / rise0, 0.0)
        s[1] = max(s[1] + last_change / rise1, 0.0)
        if is_close(largest, before):
            return True, 0
        before = largest
        for j in range(1, last):
            u[j] = max(u[j], 0.0)
    return False, worst


@_compiled
def _advance(
    u: Row, s: Row, old: Row, water: Row, rain: Row, frozen: bool, hold: Row, link: Row,
    base: Row, tilt: Row, faces: Row, par: Row, law: Row, dt: float, flows: Row, w: Row,
) -> tuple[bool, int]:  # fmt: skip
    """One step of ``dt`` seconds with the thin water on the faces; adds what passed to ``flows``."""
    wet = False
    for f in range(2):
        reach = 0.0 if frozen else max(water[f] / dt + rain[f], 0.0)
        dried = min(faces[f, DRYING], reach)
        faces[f, SUPPLY] = reach - dried
        flows[f, DRIED] += dried * dt
        water[f] -= dried * dt
        wet = wet or faces[f, SUPPLY] > 0.0
    old[:] = u
    liquid = par[LIQUID] if wet else par[LIQUID] * par[AFTER_RAIN]
    good, where = _solve(u, s, old, hold, link, base, tilt, faces, par, law, liquid, w)
    if not good:
        return False, where
    for f in range(2):
        taken, vapour = faces[f, TAKEN], faces[f, TOTAL] - faces[f, TAKEN] - faces[f, HELD_IN]
        flows[f, ARRIVED] += rain[f] * dt
        flows[f, TAKEN_UP] += taken * dt
        flows[f, FROM_HOLD] += faces[f, HELD_IN] * dt
        flows[f, EVAPORATED if vapour < 0.0 else CONDENSED] += abs(vapour) * dt
        left = 0.0 if frozen else rain[f] * dt - taken * dt
        over = max(water[f] + left - par[(FRONT if f == 0 else BACK) + KEEPS], 0.0)
        water[f] = max(water[f] + left - over, 0.0)
        flows[f, RUN_OFF] += over + (rain[f] * dt if frozen else 0.0)
    return True, 0


@_compiled
def _whole_step(
    u: Row, s: Row, old: Row, water: Row, rain: Row, frozen: bool, store: Row, link: Row,
    base: Row, tilt: Row, faces: Row, par: Row, law: Row, dt: float, totals: Row, w: Row, hold: Row,
    flows: Row,
) -> tuple[bool, int]:  # fmt: skip
    """A step, cut into ever more equal pieces where Newton's method fails on the whole of it."""
    before = w[6]
    keep_s0, keep_s1, keep_w0, keep_w1 = s[0], s[1], water[0], water[1]
    before[:] = u
    pieces, where = 1, 0
    while pieces <= MOST_PIECES:
        flows[:, :] = 0.0
        for j in range(hold.size):
            hold[j] = store[j] * pieces / dt
        good = True
        for _ in range(pieces):
            good, where = _advance(u, s, old, water, rain, frozen, hold, link, base, tilt, faces,
                                   par, law, dt / pieces, flows, w)  # fmt: skip
            if not good:
                break
        if good:
            totals += flows
            return True, 0
        u[:] = before
        s[0], s[1], water[0], water[1] = keep_s0, keep_s1, keep_w0, keep_w1
        pieces *= 4
    return False, where


@_compiled
def _note(u: Row, thawed: Row, warmth: Row, sets: Row, threshold_pct: float, response: Row, above: Row,
          month: Row, mean: Row, rate: Row) -> None:  # fmt: skip
    """Add one step's moisture to what is asked for."""
    cells, count = mean.size, sets.shape[0]
    for j in range(cells):
        month[j] += u[j + 1]
        mean[j] += u[j + 1]
        above[j] += thawed[j + 1] if u[j + 1] > threshold_pct else 0.0
    for k in range(count):
        steep, half = sets[k, 0], sets[k, 1]
        for j in range(cells):
            x = min(max(steep * (half - u[j + 1]), -40.0), 40.0)
            rate[j] = 1.0 / (1.0 + _exp(x))
            response[k, j] += thawed[j + 1] * rate[j]
        for j in range(cells if response.shape[0] > count else 0):
            response[k + count, j] += warmth[j + 1] * rate[j]


@_compiled
def run_one(
    front: Row, back: Row, month: NDArray[np.int64], depth: Row, store: Row, link: Row,
    par: Row, law: Row, sets: Row, threshold_pct: float, dt: float, parts: int, a_year: int, spin: int,
    every: int, work: Row, nodes: int, water: Row, totals: Row, stored: Row, response: Row,
    above: Row, monthly: Row, mean: Row, history: Row, failed: NDArray[np.int64],
) -> None:  # fmt: skip
    """A whole run of one set of parameters; writes into the arrays from ``water`` on.

    ``front`` and ``back`` hold, per record, air temperature [deg C], vapour pressure [Pa], rain [kg/(m2 s)]
    and sun less the sky [W/m2]; a record is stepped in ``parts`` steps of ``dt`` seconds. ``depth`` is the
    place of the nodes as a share of the thickness, ``store`` a node's water for 1 % moisture [kg/m2].
    ``failed`` becomes record and node where a step did not converge, else stays -1.
    """
    w = work[:, :nodes]
    u, old, base, tilt, hold, celsius = w[10], w[11], w[12], w[13], w[14], w[20]
    thawed, warmth = w[21], w[15]
    faces, flows, s, rain = work[22:24, :FACE_SIZE], work[18:20, :TOTALS], work[17, :2], work[17, 2:4]
    u[:] = par[START]
    s[:] = 0.5  # a first guess; from then on the last state is the guess
    noted, d0, energy, slope = 0, par[BOUND] * law[D0], law[ENERGY], law[SLOPE]
    activation, reference = law[ACTIVATION], law[REFERENCE]
    for count in range(-spin * a_year, front.shape[0]):
        i = count if count >= 0 else count % a_year
        c0 = front[i, 0] + par[FRONT + SUN] * front[i, 3]
        c1 = back[i, 0] + par[BACK + SUN] * back[i, 3]
        _set_face(faces[0], front[i, 1], c0, s[0], par[FRONT:BACK], law)
        _set_face(faces[1], back[i, 1], c1, s[1], par[BACK:], law)
        rain[0], rain[1] = front[i, 2] * par[FRONT + CATCH], back[i, 2] * par[BACK + CATCH]
        frozen = front[i, 0] < law[FROZEN]
        for j in range(u.size):
            celsius[j] = c0 + (c1 - c0) * depth[j]
            thawed[j] = 0.0 if celsius[j] < law[FROZEN] else 1.0
            inverse_rt = 1.0 / (GAS * (celsius[j] + KELVIN))
            tilt[j] = slope * inverse_rt
            base[j] = d0 * _exp(-energy * inverse_rt)
            warmth[j] = thawed[j] * _exp(activation * (reference - inverse_rt))
        if count == 0:
            totals[:, :] = 0.0
            stored[0] = np.sum(store * u)
            stored[2], stored[3] = water[0], water[1]
        for _ in range(parts):
            good, where = _whole_step(u, s, old, water, rain, frozen, store, link, base, tilt, faces, par,
                                      law, dt, totals, w, hold, flows)  # fmt: skip
            if not good:
                failed[0], failed[1] = count, where
                return
            if count >= 0:
                _note(u, thawed, warmth, sets, threshold_pct, response, above, monthly[month[i]], mean, w[0])
        if every > 0 and count >= 0 and count % every == every - 1 and noted < history.shape[0]:
            history[noted] = u[1:-1]
            noted += 1
    stored[1] = np.sum(store * u)
    stored[4], stored[5] = water[0], water[1]
