"""The compiled step loop of the dynamometer: two oil chambers, the reservoir, four one-way tables, two lags.

Conserved: the oil in each chamber, counted as its volume at 101325 Pa. Each implicit (backward Euler) step
finds the three pressures at which that oil fills the room it has; the piston of the reservoir has no mass
and moves only when the pressure exceeds its friction. tests/laws holds this loop against SciPy.
"""

from __future__ import annotations

import math

import numba

from forkwright.bench.dyno_parts import P_REF, SOFT


@numba.njit(cache=True)
def mixture(p, oil):  # type: ignore[no-untyped-def]
    """Volume per reference volume at a pressure, and its slope."""
    air_pressure = max(p, 50.0)
    air = oil.free_air * (P_REF / air_pressure) ** (1.0 / oil.exponent)
    value = (1.0 - oil.free_air) * (1.0 - (p - P_REF) / oil.bulk_modulus) + air
    slope = -(1.0 - oil.free_air) / oil.bulk_modulus
    if p >= 50.0:
        slope -= air / (oil.exponent * air_pressure)
    if p < oil.parting:
        value += (oil.parting - p) * SOFT
        slope -= SOFT
    return value, slope


@numba.njit(cache=True)
def _table(drop, table, spacing):  # type: ignore[no-untyped-def]
    """Value of a table over the root of the drop, and its slope per drop; straight in the first cell."""
    root = math.sqrt(drop)
    place = int(root / spacing)
    if place == 0:
        slope = table[1] / (spacing * spacing)
        return slope * drop, slope
    place = min(place, table.size - 2)
    rise = (table[place + 1] - table[place]) / spacing
    return table[place] + rise * (root - place * spacing), rise / (2.0 * root)


@numba.njit(cache=True)
def _plate_flow(drop, lift, plate):  # type: ignore[no-untyped-def]
    if lift <= 0.0 or drop <= 0.0:
        return 0.0, 0.0
    h2 = lift * lift
    square = plate.port_square + plate.slit_square / h2
    linear = plate.port_linear + plate.slit_linear / h2
    root = math.sqrt(linear * linear + 4.0 * square * drop)
    return 2.0 * drop / (linear + root), 1.0 / root


@numba.njit(cache=True)
def _way(drop, forward, backward, spacing, lift, plate, plate_forward):  # type: ignore[no-untyped-def]
    """Flow and its slope through one place; the lagging plate opens one way only."""
    if drop >= 0.0:
        flow, slope = _table(drop, forward, spacing)
        if plate_forward:
            more, steeper = _plate_flow(drop, lift, plate)
            flow, slope = flow + more, slope + steeper
        return flow, slope
    flow, slope = _table(-drop, backward, spacing)
    if not plate_forward:
        more, steeper = _plate_flow(-drop, lift, plate)
        flow, slope = flow + more, slope + steeper
    return -flow, slope


@numba.njit(cache=True)
def law_pressure(displaced, law):  # type: ignore[no-untyped-def]
    if law.gas:
        return law.rest * (law.size / (law.size - displaced)) ** law.exponent
    return law.rest + law.size * displaced


@numba.njit(cache=True)
def _law_volume(pressure, law):  # type: ignore[no-untyped-def]
    """Displaced volume at which the law holds a pressure, and its slope; between the two stops."""
    if law.gas:
        left = law.size * (law.rest / max(pressure, 1.0)) ** (1.0 / law.exponent)
        volume, slope = law.size - left, left / (law.exponent * max(pressure, 1.0))
    else:
        volume, slope = (pressure - law.rest) / law.size, 1.0 / law.size
    if volume <= 0.0:
        return 0.0, 0.0
    if volume >= law.capacity:
        return law.capacity, 0.0
    return volume, slope


@numba.njit(cache=True)
def _moved(pressure, displaced, law):  # type: ignore[no-untyped-def]
    """Where the massless piston stands at a pressure, coming from `displaced`; and the slope."""
    rest = law_pressure(displaced, law)
    if pressure > rest + law.friction:
        volume, slope = _law_volume(pressure - law.friction, law)
        if volume > displaced:
            return volume, slope
    elif pressure < rest - law.friction:
        volume, slope = _law_volume(pressure + law.friction, law)
        if volume < displaced:
            return volume, slope
    return displaced, 0.0


@numba.njit(cache=True)
def run(  # type: ignore[no-untyped-def]
    state, travel, step, geometry, oil, law, spacing,
    base_out, base_back, piston_out, piston_back, lift_base, lift_piston,
    base_plate, piston_plate, result,
):  # fmt: skip
    """Step through `travel` (m), one value per `step` (s); fill `result` (n, 4) and update `state`.

    `state` holds oil in C, R and S (reference m3), displaced volume (m3), pressures of C, R, S (Pa), lifts
    of the base and the piston plate (m), heat (J), worst residual (share of a chamber) and most displaced.
    `result` gets the pressures of C, R, S and the heat of each step.
    """
    oil_c, oil_r, oil_s, displaced = state[0], state[1], state[2], state[3]
    p_c, p_r, p_s = state[4], state[5], state[6]
    h_base, h_piston = state[7], state[8]
    heat, worst, most = state[9], state[10], state[11]
    floor = oil.parting - 50.0 / SOFT  # a chamber is never more than fifty parts void to one of oil
    was_c, was_r, was_s = p_c, p_r, p_s
    for i in range(travel.size):
        p_c, p_r, p_s, was_c, was_r, was_s = (
            2.0 * p_c - was_c, 2.0 * p_r - was_r, 2.0 * p_s - was_s, p_c, p_r, p_s,
        )  # fmt: skip
        room_c = geometry.compression_room - geometry.tube * travel[i]
        room_r = geometry.shaft_room + geometry.annulus * travel[i]
        flow_b, flow_p = 0.0, 0.0
        base_c, base_r, base_s = p_c, p_r, p_s
        d_c, d_r, d_s = 0.0, 0.0, 0.0
        share, best, residual = 1.0, 1e300, 1e300
        for _ in range(120):
            flow_b, slope_b = _way(p_c - p_s, base_out, base_back, spacing, h_base, base_plate, False)
            flow_p, slope_p = _way(p_c - p_r, piston_out, piston_back, spacing, h_piston, piston_plate, True)
            fill_c, fill_r = oil_c - step * (flow_b + flow_p), oil_r + step * flow_p
            fill_s = oil_s + step * flow_b
            vol_c, bend_c = mixture(p_c, oil)
            vol_r, bend_r = mixture(p_r, oil)
            vol_s, bend_s = mixture(p_s, oil)
            place, give = _moved(p_s, displaced, law)
            r_c = fill_c * vol_c - room_c
            r_r = fill_r * vol_r - room_r
            r_s = fill_s * vol_s - geometry.reservoir_room - place
            residual = abs(r_c / room_c) + abs(r_r / room_r) + abs(r_s / geometry.reservoir_room)
            if residual < 1e-9:
                break
            if residual >= best and share > 1e-3:  # too far: half way back
                share *= 0.5
            else:
                best, share = residual, 1.0
                base_c, base_r, base_s = p_c, p_r, p_s
                # three unknowns in a chain R - C - S
                c_c = -step * (slope_b + slope_p) * vol_c + fill_c * bend_c
                c_r, c_s = step * slope_p * vol_c, step * slope_b * vol_c
                r_rr, r_rc = -step * slope_p * vol_r + fill_r * bend_r, step * slope_p * vol_r
                s_ss, s_sc = -step * slope_b * vol_s + fill_s * bend_s - give, step * slope_b * vol_s
                pivot = c_c - c_r * r_rc / r_rr - c_s * s_sc / s_ss
                d_c = -(r_c - c_r * r_r / r_rr - c_s * r_s / s_ss) / pivot
                d_r = -(r_r + r_rc * d_c) / r_rr
                d_s = -(r_s + s_sc * d_c) / s_ss
            p_c = max(base_c + share * d_c, floor)
            p_r = max(base_r + share * d_r, floor)
            p_s = max(base_s + share * d_s, floor)
        worst = max(worst, residual)
        oil_c, oil_r, oil_s = oil_c - step * (flow_b + flow_p), oil_r + step * flow_p, oil_s + step * flow_b
        new_place, _ = _moved(p_s, displaced, law)
        lost = step * (flow_b * (p_c - p_s) + flow_p * (p_c - p_r))
        lost += law.friction * abs(new_place - displaced)
        displaced = new_place
        most = max(most, displaced)
        heat += lost
        wanted, _ = _table(max(p_s - p_c, 0.0), lift_base, spacing)
        h_base += base_plate.follow * (wanted - h_base)
        wanted, _ = _table(max(p_c - p_r, 0.0), lift_piston, spacing)
        h_piston += piston_plate.follow * (wanted - h_piston)
        result[i, 0], result[i, 1], result[i, 2], result[i, 3] = p_c, p_r, p_s, lost
    state[0], state[1], state[2], state[3] = oil_c, oil_r, oil_s, displaced
    state[4], state[5], state[6] = p_c, p_r, p_s
    state[7], state[8] = h_base, h_piston
    state[9], state[10], state[11] = heat, worst, most
