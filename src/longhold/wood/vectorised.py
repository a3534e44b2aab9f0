"""The moisture simulation on plain arrays, all runs of a batch at once: where no compiler is installed.

The same scheme as ``kernel``, step for step; a test holds the two equal. Arrays are runs x nodes.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from longhold.wood import kernel as k

__all__ = ["run_batch"]

Row = NDArray[np.float64]
Flags = NDArray[np.bool_]


def run_batch(
    front: Row, back: Row, series: NDArray[np.int64], month: NDArray[np.int64], depth: Row, store: Row,
    link: Row, par: Row, law: Row, sets: Row, threshold_pct: float, dt: float, parts: int, a_year: int,
    spin: int, every: int, water: Row, totals: Row, stored: Row, response: Row, above: Row,
    monthly: Row, mean: Row, history: Row, failed: NDArray[np.int64],
) -> None:  # fmt: skip
    """Every run of a batch; the arguments of ``kernel.run_one`` with runs as first axis, stops at a failure.

    ``front`` and ``back`` are series x records x 4, ``series`` a run's place among them.
    """
    runs, nodes = par.shape[0], depth.size
    u = np.repeat(par[:, k.START, None], nodes, axis=1)
    s = np.full((runs, 2), 0.5)
    noted = 0
    for count in range(-spin * a_year, front.shape[1]):
        i = count if count >= 0 else count % a_year
        air = front[series, i], back[series, i]
        celsius = [air[f][:, 0] + par[:, b + k.SUN] * air[f][:, 3] for f, b in enumerate((k.FRONT, k.BACK))]
        faces = np.stack(
            [_faces(air[f], celsius[f], s[:, f], par, b, law) for f, b in enumerate((k.FRONT, k.BACK))], 1
        )
        rain = np.stack([air[f][:, 2] * par[:, b + k.CATCH] for f, b in enumerate((k.FRONT, k.BACK))], 1)
        inside = celsius[0][:, None] + (celsius[1] - celsius[0])[:, None] * depth
        inverse_rt = 1.0 / (k.GAS * (inside + k.KELVIN))
        if count == 0:
            totals[:] = 0.0
            stored[:, 0] = (u * store).sum(axis=1)
            stored[:, 2:4] = water
        step = _Step(store, link, inverse_rt, faces, par, law, rain, air[0][:, 0] < law[k.FROZEN])
        for _ in range(parts):
            where = step.whole(u, s, water, totals, dt)
            if (where >= 0).any():
                bad = where >= 0
                failed[bad, 0], failed[bad, 1] = count, where[bad]
                return
            if count >= 0:
                _note(u, inside, sets, threshold_pct, month[i], law, (response, above, monthly, mean))
        if every > 0 and count >= 0 and count % every == every - 1 and noted < history.shape[1]:
            history[:, noted] = u[:, 1:-1]
            noted += 1
    stored[:, 1] = (u * store).sum(axis=1)
    stored[:, 4:6] = water


class _Step:
    """What stays the same within a record, for some of the runs."""

    def __init__(
        self, store: Row, link: Row, inverse_rt: Row, faces: Row, par: Row, law: Row, rain: Row,
        frozen: Flags,
    ) -> None:  # fmt: skip
        self.store, self.link, self.law = store, link, law
        self.inverse_rt, self.faces, self.par, self.rain, self.frozen = inverse_rt, faces, par, rain, frozen

    def of(self, runs: NDArray[np.int64]) -> _Step:
        """The same for fewer runs."""
        own = (self.store[runs], self.link[runs], self.inverse_rt[runs], self.faces[runs], self.par[runs])
        return _Step(*own, self.law, self.rain[runs], self.frozen[runs])

    def whole(self, u: Row, s: Row, water: Row, totals: Row, dt: float) -> NDArray[np.int64]:
        """One step of every run, cut into pieces where need be; node of failure of each run, or -1."""
        where = np.full(u.shape[0], -1)
        left = np.arange(u.shape[0])
        pieces = 1
        while left.size and pieces <= k.MOST_PIECES:
            step = self if left.size == u.shape[0] else self.of(left)
            tried, state, thin = u[left], s[left], water[left]
            flows = np.zeros((left.size, 2, k.TOTALS))
            bad = np.full(left.size, -1)
            for _ in range(pieces):
                found = step.advance(tried, state, thin, dt / pieces, flows)
                bad = np.where(bad < 0, found, bad)
            good = bad < 0
            done = left[good]
            u[done], s[done], water[done] = tried[good], state[good], thin[good]
            totals[done] += flows[good]
            where[left] = bad
            left = left[~good]
            pieces *= 4
        return where

    def advance(self, u: Row, s: Row, water: Row, dt: float, flows: Row) -> NDArray[np.int64]:
        """One step of ``dt`` of every run, with the thin water on the faces; node of failure, or -1."""
        faces, par, rain = self.faces, self.par, self.rain
        frozen = self.frozen[:, None]
        reach = np.where(frozen, 0.0, np.maximum(water / dt + rain, 0.0))
        dried = np.minimum(faces[:, :, k.DRYING], reach)
        faces[:, :, k.SUPPLY] = reach - dried
        flows[:, :, k.DRIED] += dried * dt
        water -= dried * dt
        wet = (faces[:, :, k.SUPPLY] > 0.0).any(axis=1)
        liquid = par[:, k.LIQUID] * np.where(wet, 1.0, par[:, k.AFTER_RAIN])
        where = self.solve(u, s, liquid, dt)
        taken, held = faces[:, :, k.TAKEN], faces[:, :, k.HELD_IN]
        vapour = faces[:, :, k.TOTAL] - taken - held
        flows[:, :, k.ARRIVED] += rain * dt
        flows[:, :, k.TAKEN_UP] += taken * dt
        flows[:, :, k.FROM_HOLD] += held * dt
        flows[:, :, k.EVAPORATED] += np.where(vapour < 0.0, -vapour, 0.0) * dt
        flows[:, :, k.CONDENSED] += np.where(vapour < 0.0, 0.0, vapour) * dt
        left = np.where(frozen, 0.0, rain * dt - taken * dt)
        over = np.maximum(water + left - par[:, (k.FRONT + k.KEEPS, k.BACK + k.KEEPS)], 0.0)
        water[:] = np.maximum(water + left - over, 0.0)
        flows[:, :, k.RUN_OFF] += np.where(frozen, rain * dt, 0.0) + over
        return where

    def solve(self, u: Row, s: Row, liquid: Row, dt: float) -> NDArray[np.int64]:
        """Newton's method for every run until each has converged; those that have are left alone."""
        old, faces = u.copy(), self.faces
        hold = self.store / dt
        half, free = 0.5 * self.link, self.link * liquid[:, None]
        going = np.ones(u.shape[0], dtype=bool)
        where = np.full(u.shape[0], -1)
        before = np.zeros(u.shape[0])
        for _ in range(k.MOST_STEPS):
            state = self.settle(s, u, liquid[:, None])
            s[going] = state[going]
            moisture, rise, humidity = _sorption(s, faces)
            u[going, 0], u[going, -1] = moisture[going, 0], moisture[going, 1]
            loose, share = _split(u, self.law)
            held = u - loose
            D, slope = _diffusivity(held, self.inverse_rt, self.par, self.law)
            q, kq, liq, kliq = _into_faces(moisture, rise, humidity, self.par[:, k.FULL, None], faces)
            both, drop = D[:, :-1] + D[:, 1:], held[:, :-1] - held[:, 1:]
            flow = half * both * drop + free * (loose[:, :-1] - loose[:, 1:])
            A = half * (both + slope[:, :-1] * drop) * (1.0 - share[:, :-1]) + free * share[:, :-1]
            B = half * (both - slope[:, 1:] * drop) * (1.0 - share[:, 1:]) + free * share[:, 1:]
            flows = np.concatenate([q[:, :1], flow, -q[:, 1:]], axis=1)
            diagonal = hold + np.concatenate([A, kq[:, 1:]], axis=1) + np.concatenate([kq[:, :1], B], axis=1)
            change = _tridiagonal(A, diagonal, B, -np.diff(flows, axis=1) - hold * (u - old))
            largest = np.abs(change).max(axis=1)
            first = flow[:, 0] + A[:, 0] * change[:, 0] - B[:, 0] * change[:, 1]
            final = flow[:, -1] + A[:, -1] * change[:, -2] - B[:, -1] * change[:, -1]
            ends = change[:, (0, -1)]
            broken = ~(largest < 1e9)
            moving = going & ~broken
            new = u + change
            total = np.stack([first, -final], axis=1)
            faces[moving, :, k.TOTAL] = total[moving]
            faces[moving, :, k.TAKEN] = (liq - kliq * ends)[moving]
            from_hold = faces[:, :, k.G_HOLD] * (faces[:, :, k.HOLD_AT] - new[:, (0, -1)])
            faces[moving, :, k.HELD_IN] = from_hold[moving]
            s[moving] = np.maximum(s + ends / rise, 0.0)[moving]
            done = moving & k.is_close(largest, before)
            before = largest
            new[:, 1:-1] = np.where(done[:, None], new[:, 1:-1], np.maximum(new[:, 1:-1], 0.0))
            u[moving] = new[moving]
            where = np.where(going & (broken | ~done), np.abs(change).argmax(axis=1), where)
            where[done] = -1
            going = moving & ~done
            if not going.any():
                break
        return where

    def settle(self, s: Row, u: Row, liquid: Row) -> Row:
        """States of both faces in balance with the cells beside them: ``kernel.settle`` for all at once."""
        law, faces, full = self.law, self.faces, self.par[:, k.FULL, None]
        beside, inverse_rt = u[:, (1, -2)], self.inverse_rt[:, (0, -1)]
        link = self.link[:, (0, -1)]
        loose1, _ = _split(beside, law)
        held1 = beside - loose1
        D1, _ = _diffusivity(held1, self.inverse_rt[:, (1, -2)], self.par, law)
        low, high = np.zeros_like(s), np.ones_like(s)
        highest = np.maximum(np.maximum(beside, full), faces[..., k.HOLD_AT])
        high += np.maximum(highest - faces[..., k.TOP], 0.0) / faces[..., k.RISE]
        s = np.minimum(np.maximum(s, low), high)
        going = np.ones(s.shape, dtype=bool)
        for _ in range(k.MOST_SETTLING):
            moisture, rise, humidity = _sorption(s, faces)
            flow, slope, _, _ = _into_faces(moisture, rise, humidity, full, faces)
            loose, share = _split(moisture, law)
            held = moisture - loose
            D, bend = _diffusivity(held, inverse_rt, self.par, law)
            rest = flow - link * (0.5 * (D + D1) * (held - held1) + liquid * (loose - loose1))
            slope += link * (0.5 * (D + D1 + bend * (held - held1)) * (1.0 - share) + liquid * share)
            low, high = np.where(rest > 0.0, s, low), np.where(rest > 0.0, high, s)
            step = rest / (slope * rise)
            done = np.abs(step) * rise < k.SETTLED_PCT
            after = s + step
            outside = ~done & ~((low < after) & (after < high))
            s = np.where(going, np.where(outside, 0.5 * (low + high), after), s)
            going &= ~done
            if not going.any():
                break
        return s


def _faces(air: Row, celsius: Row, state: Row, par: Row, block: int, law: Row) -> Row:
    face = np.zeros((par.shape[0], k.FACE_SIZE))
    exchange = par[:, block + k.FILM] / (k.VAPOUR_GAS * (celsius + k.KELVIN))
    full = law[k.E0] * np.exp(law[k.MAGNUS_A] * celsius / (law[k.MAGNUS_B] + celsius))
    bend = law[k.MAGNUS_A] * law[k.MAGNUS_B] / (law[k.MAGNUS_B] + celsius) ** 2 - 1.0 / (celsius + k.KELVIN)
    exchange = exchange / (1.0 + law[k.COOLING] * exchange * full * bend * np.minimum(state, 1.0))
    face[:, k.OUTWARD], face[:, k.INWARD] = exchange * full, exchange * np.minimum(air[:, 1], full)
    over = par[:, block + k.OVER] / (k.VAPOUR_GAS * (celsius + k.KELVIN))
    face[:, k.DRYING] = over * np.maximum(full - air[:, 1], 0.0)
    c, t = law[k.SORPTION :], np.maximum(celsius, law[k.COLDEST])
    face[:, k.WIDTH] = 1800.0 / (c[0] + t * (c[1] + t * c[2]))
    face[:, k.K] = c[3] + t * (c[4] + t * c[5])
    face[:, k.K1] = c[6] + t * (c[7] + t * c[8])
    face[:, k.K2] = c[9] + t * (c[10] + t * c[11])
    face[:, k.RISE] = 1.0
    top, rise, _ = _sorption(np.full((par.shape[0], 1), 1.0 - 1e-15), face[:, None])
    face[:, k.TOP], face[:, k.RISE] = top[:, 0], rise[:, 0]
    for to, own in ((k.G_LIQUID, k.CONTACT), (k.G_HOLD, k.HOLD), (k.HOLD_AT, k.HELD)):
        face[:, to] = par[:, block + own]
    return face


def _sorption(s: Row, faces: Row) -> tuple[Row, Row, Row]:
    """Moisture, slope and humidity of faces; the last axis of ``faces`` is what each meets."""
    low = np.minimum(s, 1.0)
    y = faces[..., k.K] * low
    k1, k12 = faces[..., k.K1], faces[..., k.K1] * faces[..., k.K2]
    above, below = (k1 + 2.0 * k12 * y) * y, 1.0 + (k1 + k12 * y) * y
    moisture = faces[..., k.WIDTH] * (y / (1.0 - y) + above / below)
    bend = ((k1 + 4.0 * k12 * y) * below - above * (k1 + 2.0 * k12 * y)) / (below * below)
    rise = faces[..., k.WIDTH] * faces[..., k.K] * (1.0 / ((1.0 - y) * (1.0 - y)) + bend)
    free = s >= 1.0
    moisture = np.where(free, faces[..., k.TOP] + faces[..., k.RISE] * (s - 1.0), moisture)
    return moisture, np.where(free, faces[..., k.RISE], rise), low


def _split(moisture: Row, law: Row) -> tuple[Row, Row]:
    x = (moisture - law[k.FREE]) / law[k.BLEND]
    inside = np.clip(x, 0.0, 1.0)
    curved = inside * inside * inside * (1.0 - 0.5 * inside)
    return law[k.BLEND] * np.where(x >= 1.0, x - 0.5, curved), inside * inside * (3.0 - 2.0 * inside)


def _diffusivity(held: Row, inverse_rt: Row, par: Row, law: Row) -> tuple[Row, Row]:
    gravity, factor = par[:, k.GRAVITY, None], par[:, k.BOUND, None]
    pore = np.sqrt(np.maximum(1.0 - gravity * (law[k.PORE0] + law[k.PORE1] * held), 0.0))
    one, two = 1.0 - pore, 1.0 - pore * pore
    inverse = 1.0 / (one * two)
    value = factor * law[k.D0] * np.exp(-(law[k.ENERGY] - law[k.SLOPE] * held) * inverse_rt) * inverse
    geometry = (
        0.5 * gravity * law[k.PORE1] * (two + 2.0 * pore * one) * inverse / np.where(pore > 0.0, pore, 1.0)
    )
    return value, value * (law[k.SLOPE] * inverse_rt - np.where(pore > 0.0, geometry, 0.0))


def _into_faces(moisture: Row, rise: Row, humidity: Row, full: Row, faces: Row) -> tuple[Row, Row, Row, Row]:
    hold, out = faces[..., k.G_HOLD], faces[..., k.OUTWARD]
    flow = faces[..., k.INWARD] - out * humidity + hold * (faces[..., k.HOLD_AT] - moisture)
    slope = hold + np.where(humidity < 1.0, out / rise, 0.0)
    supply, contact = faces[..., k.SUPPLY], faces[..., k.G_LIQUID]
    wanted = contact * (full - moisture)
    takes = supply > 0.0
    partly = takes & (wanted < supply)
    liquid = np.where(takes, np.minimum(wanted, supply), 0.0)
    liquid_slope = np.where(partly, contact, 0.0)
    return flow + liquid, slope + liquid_slope, liquid, liquid_slope


def _tridiagonal(A: Row, diagonal: Row, B: Row, right: Row) -> Row:
    """Solve -A[j-1] x[j-1] + diagonal[j] x[j] - B[j] x[j+1] = right[j] along the last axis.

    Parallel cyclic reduction: each round joins every row with its neighbors at twice the former distance,
    so that a few rounds on whole arrays take the place of a loop over the nodes.
    """
    zero = np.zeros((right.shape[0], 1))
    lower, upper = np.concatenate([zero, A], axis=1), np.concatenate([B, zero], axis=1)
    nodes, reach = right.shape[1], 1
    while reach < nodes:
        up, down = lower[:, reach:] / diagonal[:, :-reach], upper[:, :-reach] / diagonal[:, reach:]
        new_diagonal, new_right = diagonal.copy(), right.copy()
        new_lower, new_upper = np.zeros_like(lower), np.zeros_like(upper)
        new_diagonal[:, reach:] -= up * upper[:, :-reach]
        new_diagonal[:, :-reach] -= down * lower[:, reach:]
        new_right[:, reach:] += up * right[:, :-reach]
        new_right[:, :-reach] += down * right[:, reach:]
        new_lower[:, reach:] = up * lower[:, :-reach]
        new_upper[:, :-reach] = down * upper[:, reach:]
        lower, upper, diagonal, right = new_lower, new_upper, new_diagonal, new_right
        reach *= 2
    return np.asarray(right / diagonal)


def _note(
    u: Row,
    celsius: Row,
    sets: Row,
    threshold_pct: float,
    month: int,
    law: Row,
    into: tuple[Row, ...],
) -> None:
    response, above, monthly, mean = into
    m = u[:, 1:-1]
    monthly[:, month] += m
    mean += m
    thawed = celsius[:, 1:-1] >= law[k.FROZEN]
    above += thawed & (m > threshold_pct)
    asked = response.shape[1] > len(sets)
    inverse_rt = 1.0 / (k.GAS * (celsius[:, 1:-1] + k.KELVIN))
    warmth = np.exp(law[k.ACTIVATION] * (law[k.REFERENCE] - inverse_rt)) if asked else 1.0
    for number, (steep, half) in enumerate(sets):
        share = np.where(thawed, 1.0 / (1.0 + np.exp(np.minimum(steep * (half - m), 700.0))), 0.0)
        response[:, number] += share
        if asked:
            response[:, len(sets) + number] += share * warmth
