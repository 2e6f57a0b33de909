"""Gauss–Legendre quadrature on 0 … 1."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@cache
def gauss(n: int) -> tuple[Floats, Floats]:
    """The n nodes and weights for ∫₀¹: exact for polynomials up to degree 2n − 1.

    Eigenvalues of the Jacobi matrix (G. H. Golub and J. H. Welsch, Math. Comp. 23, 1969); numpy's own
    table would import all of its polynomial package."""
    k = np.arange(1, n)
    off = k / np.sqrt(4.0 * k**2 - 1)
    nodes, vectors = np.linalg.eigh(np.diag(off, 1) + np.diag(off, -1))
    nodes = (nodes - nodes[::-1]) / 2
    weights = vectors[0] ** 2
    nodes, weights = (nodes + 1) / 2, (weights + weights[::-1]) / 2
    nodes.flags.writeable = weights.flags.writeable = False
    return nodes, weights


@cache
def integrator(n: int) -> Floats:
    """Matrix (n + 1, n): samples at the n nodes of ``gauss`` to the coefficients of their integral.

    The integral from 0, as powers of x in 0 … 1, of the polynomial through the samples."""
    nodes, _ = gauss(n)
    matrix = np.zeros((n + 1, n))
    matrix[1:] = np.linalg.inv(np.vander(nodes, increasing=True)) / np.arange(1, n + 1)[:, None]
    matrix.flags.writeable = False
    return matrix
