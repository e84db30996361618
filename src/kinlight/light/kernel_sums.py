"""Compiled: what patches and receivers get of what leaves patches; twin of `sums`."""

from __future__ import annotations

import numpy as np

from kinlight.light.jit import fast, inline


@fast
def landed(hits, sent, group, groups):  # type: ignore[no-untyped-def]
    """Return sums of what patches send that receivers' rays hit, by groups; see `sums.landed`."""
    out = np.zeros((groups, hits.shape[0], sent.shape[0]))
    for k in range(sent.shape[0]):
        for r in range(hits.shape[0]):
            for ray in range(hits.shape[1]):
                patch = hits[r, ray]
                if patch >= 0:
                    out[group[patch], r, k] += sent[k, patch]
    return out


@fast
def paired(one, other, weight, count):  # type: ignore[no-untyped-def]
    """Return what patches found of each other as one list of pairs; see `sums.paired`."""
    finds = one.shape[0]
    start = np.zeros(count + 1, np.int64)
    for i in range(finds):
        start[one[i] + 1] += 1
        start[other[i] + 1] += 1
    for k in range(count):
        start[k + 1] += start[k]
    place = start[:-1].copy()
    whom, area = np.empty(2 * finds, np.int64), np.empty(2 * finds)
    for i in range(finds):
        for j in range(2):
            row, column = (one[i], other[i]) if j == 0 else (other[i], one[i])
            whom[place[row]], area[place[row]] = column, weight[i]
            place[row] += 1
    pairs = 0
    met_by, at = np.full(count, -1, np.int64), np.empty(count, np.int64)
    for r in range(count):
        first, last = start[r], start[r + 1]
        start[r] = pairs
        for p in range(first, last):
            column = whom[p]
            if met_by[column] == r:
                area[at[column]] += area[p]
            else:
                met_by[column], at[column] = r, pairs
                whom[pairs], area[pairs] = column, area[p]
                pairs += 1
    start[count] = pairs
    return start, whom[:pairs].copy(), area[:pairs].copy()


@inline
def _sum_of(first, last, area, other, values):  # type: ignore[no-untyped-def]
    """Return the sum over a patch's pairs for one row of values."""
    found = 0.0
    for p in range(first, last):
        found += area[p] * values[other[p]]
    return found


@fast
def summed(pairs, values):  # type: ignore[no-untyped-def]
    """Return sums over each patch's pairs, of four rows at once; see `sums.summed`."""
    start, other, area = pairs
    out = np.empty(values.shape)
    rows = values.shape[0]
    fours = rows - rows % 4
    for a in range(0, fours, 4):
        for r in range(values.shape[1]):
            one, two, three, four = 0.0, 0.0, 0.0, 0.0
            for p in range(start[r], start[r + 1]):
                by, q = area[p], other[p]
                one += by * values[a, q]
                two += by * values[a + 1, q]
                three += by * values[a + 2, q]
                four += by * values[a + 3, q]
            out[a, r], out[a + 1, r], out[a + 2, r], out[a + 3, r] = one, two, three, four
    for a in range(fours, rows):
        for r in range(values.shape[1]):
            out[a, r] = _sum_of(start[r], start[r + 1], area, other, values[a])
    return out
