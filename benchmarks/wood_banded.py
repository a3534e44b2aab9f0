"""The moisture scheme stepped in Python: cells in numpy, faces in floats, the linear set by solve_banded."""

from __future__ import annotations

from math import exp, sqrt
from typing import Any

import numpy as np
from scipy.linalg import solve_banded

from longhold.wood import kernel as k


class Face:
    """One face in plain floats."""

    def __init__(self, air_pa: float, c: float, state: float, own: Any, law: Any) -> None:
        exchange = own[k.FILM] / (k.VAPOUR_GAS * (c + k.KELVIN))
        full = law[k.E0] * exp(law[k.MAGNUS_A] * c / (law[k.MAGNUS_B] + c))
        bend = law[k.MAGNUS_A] * law[k.MAGNUS_B] / (law[k.MAGNUS_B] + c) ** 2 - 1.0 / (c + k.KELVIN)
        exchange /= 1.0 + law[k.COOLING] * exchange * full * bend * min(state, 1.0)
        self.outward, self.inward, self.supply = exchange * full, exchange * min(air_pa, full), 0.0
        t, q = max(c, law[k.COLDEST]), law[k.SORPTION :]
        self.width = 1800.0 / (q[0] + t * (q[1] + t * q[2]))
        self.K, self.K1 = q[3] + t * (q[4] + t * q[5]), q[6] + t * (q[7] + t * q[8])
        self.K12 = self.K1 * (q[9] + t * (q[10] + t * q[11]))
        self.top, self.rise = self.sorption(1.0 - 1e-15)[:2]
        self.g_liquid = own[k.CONTACT]

    def sorption(self, s: float) -> tuple[float, float, float]:
        if s >= 1.0:
            return self.top + self.rise * (s - 1.0), self.rise, 1.0
        y, k1, k12 = self.K * s, self.K1, self.K12
        above, below = (k1 + 2.0 * k12 * y) * y, 1.0 + (k1 + k12 * y) * y
        bend = ((k1 + 4.0 * k12 * y) * below - above * (k1 + 2.0 * k12 * y)) / (below * below)
        slope = self.width * self.K * (1.0 / ((1.0 - y) * (1.0 - y)) + bend)
        return self.width * (y / (1.0 - y) + above / below), slope, s

    def inflow(
        self, m: float, rise: float, humidity: float, full: float
    ) -> tuple[float, float, float, float]:
        flow = self.inward - self.outward * humidity
        slope = self.outward / rise if humidity < 1.0 else 0.0
        wanted = self.g_liquid * (full - m)
        if self.supply <= 0.0:
            return flow, slope, 0.0, 0.0
        if wanted >= self.supply:
            return flow + self.supply, slope, self.supply, 0.0
        return flow + wanted, slope + self.g_liquid, wanted, self.g_liquid


def split(m: float, free: float, blend: float) -> tuple[float, float]:
    x = (m - free) / blend
    if x <= 0.0:
        return 0.0, 0.0
    if x >= 1.0:
        return blend * (x - 0.5), 1.0
    return blend * x * x * x * (1.0 - 0.5 * x), x * x * (3.0 - 2.0 * x)


def diffusivity(held: float, irt: float, par: Any, law: Any) -> tuple[float, float]:
    pore = sqrt(max(1.0 - par[k.GRAVITY] * (law[k.PORE0] + law[k.PORE1] * held), 0.0))
    one, two = 1.0 - pore, 1.0 - pore * pore
    inverse = 1.0 / (one * two)
    value = par[k.BOUND] * law[k.D0] * exp(-(law[k.ENERGY] - law[k.SLOPE] * held) * irt) * inverse
    slope = law[k.SLOPE] * irt
    slope -= 0.5 * par[k.GRAVITY] * law[k.PORE1] * (two + 2.0 * pore * one) * inverse / pore
    return value, value * slope


def settle(
    s: float, beside: float, D1: float, link: float, irt: float, liquid: float, face: Face, par: Any, law: Any
):
    free, blend = law[k.FREE], law[k.BLEND]
    loose1, _ = split(beside, free, blend)
    held1 = beside - loose1
    low, high = 0.0, 1.0
    highest = max(beside, par[k.FULL])
    if highest > face.top:
        high += (highest - face.top) / face.rise
    s = min(max(s, low), high)
    for _ in range(k.MOST_SETTLING):
        m, rise, humidity = face.sorption(s)
        flow, slope, _, _ = face.inflow(m, rise, humidity, par[k.FULL])
        loose, share = split(m, free, blend)
        held = m - loose
        D, bend = diffusivity(held, irt, par, law)
        rest = flow - link * (0.5 * (D + D1) * (held - held1) + liquid * (loose - loose1))
        slope += link * (0.5 * (D + D1 + bend * (held - held1)) * (1.0 - share) + liquid * share)
        low, high = (s, high) if rest > 0.0 else (low, s)
        step = rest / (slope * rise)
        if abs(step) * rise < k.SETTLED_PCT:
            return s + step
        s += step
        if not low < s < high:
            s = 0.5 * (low + high)
    return s


def march(
    front: Any, back: Any, depth: Any, store: Any, link: Any, par: Any, law: Any, dt: float, sets: Any
) -> Any:
    """Moisture after the records and the sum of each response, for bare faces and weather above freezing."""
    p, q = par.tolist(), law.tolist()
    free, blend = q[k.FREE], q[k.BLEND]
    n = depth.size
    u, s, water = np.full(n, p[k.START]), [0.5, 0.5], 0.0
    hold, half, lead = store / dt, 0.5 * link, link.tolist()
    response = np.zeros((len(sets), n - 2))
    banded = np.zeros((3, n))
    for a, b in zip(front.tolist(), back.tolist(), strict=True):
        c0 = a[0] + p[k.FRONT + k.SUN] * a[3]
        c1 = b[0] + p[k.BACK + k.SUN] * b[3]
        faces = (
            Face(a[1], c0, s[0], p[k.FRONT : k.BACK], q),
            Face(b[1], c1, s[1], p[k.BACK :], q),
        )
        rain = a[2] * p[k.FRONT + k.CATCH]
        faces[0].supply = water / dt + rain
        irt = 1.0 / (k.GAS * (c0 + (c1 - c0) * depth + k.KELVIN))
        liquid = p[k.LIQUID]
        free_link = link * liquid
        old, before = u.copy(), 0.0
        for _ in range(k.MOST_STEPS):
            x = (u - free) / blend
            inside = np.clip(x, 0.0, 1.0)
            for end, at, by, D_irt in ((0, 0, 1, 1), (1, n - 1, n - 2, n - 2)):
                beside = float(u[by])
                D1, _ = diffusivity(beside - split(beside, free, blend)[0], float(irt[D_irt]), p, q)
                s[end] = settle(s[end], beside, D1, lead[at - end], float(irt[at]), liquid, faces[end], p, q)
                u[at] = faces[end].sorption(s[end])[0]
            x = (u - free) / blend
            inside = np.clip(x, 0.0, 1.0)
            loose = blend * np.where(x >= 1.0, x - 0.5, inside**3 * (1.0 - 0.5 * inside))
            share = inside * inside * (3.0 - 2.0 * inside)
            held = u - loose
            pore = np.sqrt(1.0 - p[k.GRAVITY] * (q[k.PORE0] + q[k.PORE1] * held))
            one, two = 1.0 - pore, 1.0 - pore * pore
            inverse = 1.0 / (one * two)
            D = p[k.BOUND] * q[k.D0] * np.exp(-(q[k.ENERGY] - q[k.SLOPE] * held) * irt) * inverse
            geometry = 0.5 * p[k.GRAVITY] * q[k.PORE1] * (two + 2.0 * pore * one) * inverse / pore
            bend = D * (q[k.SLOPE] * irt - geometry)
            both, drop = D[:-1] + D[1:], held[:-1] - held[1:]
            flow = half * both * drop + free_link * (loose[:-1] - loose[1:])
            A = half * (both + bend[:-1] * drop) * (1.0 - share[:-1]) + free_link * share[:-1]
            B = half * (both - bend[1:] * drop) * (1.0 - share[1:]) + free_link * share[1:]
            (m0, rise0, h0), (m1, rise1, h1) = (faces[end].sorption(s[end]) for end in (0, 1))
            q0, k0, l0, kl0 = faces[0].inflow(m0, rise0, h0, p[k.FULL])
            q1, k1, _, _ = faces[1].inflow(m1, rise1, h1, p[k.FULL])
            diagonal = hold.copy()
            diagonal[:-1] += A
            diagonal[1:] += B
            diagonal[0] += k0
            diagonal[-1] += k1
            right = hold * (old - u)
            right[:-1] -= flow
            right[1:] += flow
            right[0] += q0
            right[-1] += q1
            banded[0, 1:], banded[1], banded[2, :-1] = -B, diagonal, -A
            change = solve_banded((1, 1), banded, right, check_finite=False)
            u += change
            s[0] = max(s[0] + change[0] / rise0, 0.0)
            s[1] = max(s[1] + change[-1] / rise1, 0.0)
            largest = float(np.abs(change).max())
            if k.is_close(largest, before):
                break
            before = largest
            np.maximum(u, 0.0, out=u)
        else:
            raise RuntimeError("did not converge")
        water = min(max(water + (rain - l0 + kl0 * change[0]) * dt, 0.0), p[k.FRONT + k.KEEPS])
        for number, (steep, middle) in enumerate(sets):
            response[number] += 1.0 / (1.0 + np.exp(steep * (middle - u[1:-1])))
    return u, response
