"""Streams of draws: each cause of doubt has its own, the same every time it is asked for."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

FloatArray = NDArray[np.float64]


def stream(name: str, *, draws: int, columns: int = 1) -> FloatArray:
    """Return standard normal draws that belong to a name.

    Parameters
    ----------
    name
        Of the cause, and of what in it is drawn.
    draws
        How many.
    columns
        How many independent numbers each draw has.

    Returns
    -------
    FloatArray
        Shape (draws, columns) [1].

    Notes
    -----
    A Latin hypercube: of as many slices of equal chance as there are draws each column has exactly
    one in each, in an order of its own. Slices and order come from a digest of the name, so that
    nothing else in the program moves its digits.

    Examples
    --------
    >>> flow = stream("source flow", draws=256)[:, 0]
    >>> bool(abs(flow.mean()) < 0.02), bool(abs(flow.std() - 1) < 0.02)
    (True, True)

    References
    ----------
    M. D. McKay, R. J. Beckman, W. J. Conover, A comparison of three methods for selecting values of
    input variables, Technometrics 21, 1979 (from memory).
    """
    generator = _generator(name)
    even = np.empty((draws, columns))
    for column in even.T:
        column[:] = (generator.permutation(draws) + generator.random(draws)) / draws
    return np.asarray(ndtri(np.clip(even, 2.0**-40, 1 - 2.0**-40)))


def plain_stream(name: str, *, draws: int, columns: int) -> FloatArray:
    """Return standard normal draws that belong to a name, as chance gives them.

    Parameters
    ----------
    name
        Of what is drawn.
    draws
        How many.
    columns
        How many independent numbers each draw has.

    Returns
    -------
    FloatArray
        Shape (draws, columns) [1].

    Notes
    -----
    For many columns of which none does much alone, such as the stations of a pipe: three times
    sooner than `stream`, and `whitening` sets their moments right. The first columns are the same
    however many there are.

    Examples
    --------
    >>> plain_stream("pipe delivery", draws=3, columns=2).shape
    (3, 2)
    """
    return _generator(name).standard_normal((columns, draws)).T


def _generator(name: str) -> np.random.Generator:
    seed = int.from_bytes(hashlib.sha256(name.encode()).digest()[:16], "big")
    return np.random.default_rng(seed)


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
    means, turn = whitening(normals)
    return np.asarray((normals - means) @ turn)


def whitening(normals: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return what makes draws `whitened`: means, and the matrix that follows their taking off.

    Parameters
    ----------
    normals
        Draws, shape (draws, columns) [1].

    Returns
    -------
    tuple
        Means, shape (columns,), and an upper triangular matrix, shape (columns, columns) [1]. Who
        multiplies whitened draws by weights multiplies these by the weights first: they are few.
    """
    draws, columns = normals.shape
    count = max(min(columns, draws // 2 - 1), 0)
    means, turn = np.zeros(columns), np.eye(columns)
    if count:
        first = normals[:, :count]
        means[:count] = first.mean(axis=0)
        joint = first.T @ first / draws - np.outer(means[:count], means[:count])
        turn[:count, :count] = np.triu(np.linalg.inv(np.linalg.cholesky(joint).T))
    return means, turn
