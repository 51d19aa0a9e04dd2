"""How many decimals a matrix of correlations needs, so that one who computes with what is printed gets what the fit has.

Rounded entry by entry, a matrix of parameters that go much along with one another may have a negative eigenvalue: a sum of them would have a
negative variance. Between a matrix R and what is printed of it, P, the variance of any sum vᵀθ changes by the factor vᵀPv/vᵀRv, which lies
between the least and the greatest eigenvalue of L⁻¹PL⁻ᵀ, with R = LLᵀ.
"""

import numpy as np

from ..hints import Table

FEWEST, MOST = 2, 8
WITHIN = 0.05  # of a variance, how far what is printed may lead astray


def decimals_of(correlations: Table) -> tuple[int, bool]:
    """Return the fewest decimals with which a printed matrix gives the variance of any sum of parameters within `WITHIN`.

    Parameters
    ----------
    correlations : DataFrame
        Of a fit; a parameter that has none is NaN, and is left out.

    Returns
    -------
    decimals : int
        From 2 to 8. [-]
    enough : bool
        Whether they are: not where the readings tell nothing but a sum of parameters.
    """
    matrix = correlations.to_numpy(float)
    known = np.isfinite(np.diag(matrix))
    matrix = matrix[np.ix_(known, known)]
    if not matrix.size:
        return FEWEST, True
    try:
        back = np.linalg.inv(np.linalg.cholesky(matrix))
    except np.linalg.LinAlgError:
        return MOST, False
    for decimals in range(FEWEST, MOST + 1):
        ends = np.linalg.eigvalsh(back @ np.round(matrix, decimals) @ back.T)
        if 1 - WITHIN <= ends[0] and ends[-1] <= 1 + WITHIN:
            return decimals, True
    return MOST, False
