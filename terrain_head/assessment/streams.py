"""Streams of draws: each cause of doubt has its own, the same every time it is asked for."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri
from scipy.stats import qmc

FloatArray = NDArray[np.float64]


def stream(name: str, *, draws: int, columns: int = 1) -> FloatArray:
    """Return standard normal draws that belong to a name.

    Parameters
    ----------
    name
        Of the cause, and of what in it is drawn.
    draws
        How many, a power of 2 for the most even ones.
    columns
        How many independent numbers each draw has.

    Returns
    -------
    FloatArray
        Shape (draws, columns) [1].

    Notes
    -----
    A scrambled Sobol sequence, even within the name. Its scramble and the order of its draws come
    from a digest of the name, so that nothing else in the program moves its digits. Without the
    shuffled order the first digits of any two sequences would go hand in hand.

    Examples
    --------
    >>> flow = stream("source flow", draws=256)[:, 0]
    >>> bool(abs(flow.mean()) < 0.02), bool(abs(flow.std() - 1) < 0.02)
    (True, True)

    References
    ----------
    A. B. Owen, Scrambled net variance for integrals of smooth functions, Annals of Statistics 25,
    1997 (from memory).
    """
    seed = int.from_bytes(hashlib.sha256(name.encode()).digest()[:16], "big")
    generator = np.random.default_rng(seed)
    sequence = qmc.Sobol(columns, scramble=True, rng=generator)
    even = sequence.random_base2(max(draws - 1, 1).bit_length())[:draws]
    inside = np.clip(even, 2.0**-40, 1 - 2.0**-40)
    return np.asarray(ndtri(generator.permutation(inside)))


def whitened(normals: FloatArray) -> FloatArray:
    """Return draws whose columns have the mean 0 and the variance 1 and share nothing, exactly.

    Parameters
    ----------
    normals
        Draws, shape (draws, columns) [1].

    Returns
    -------
    FloatArray
        Each column is set right against those before it, so it does not depend on those after it;
        as many of the first as half the draws allow, the others as they were [1].

    Notes
    -----
    So a result that is a weighted sum of those columns has its standard error to the last digit,
    however few the draws.
    """
    draws, columns = normals.shape
    count = min(columns, draws // 2 - 1)
    if count < 1:
        return normals
    q, r = np.linalg.qr(np.column_stack([np.ones(draws), normals[:, :count]]))
    white = q[:, 1:] * np.sign(np.diag(r)[1:]) * np.sqrt(draws)
    return np.column_stack([white, normals[:, count:]])
