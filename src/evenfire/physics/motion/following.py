"""How something that lags follows what it follows, exactly, when that runs as a polynomial.

``lag y' = u - y`` with ``u`` a polynomial of the share of a step has a closed solution. It serves the heat that is on
its way to the water and every control that lags behind the pressure, so that no short lag forces short steps.
"""

from math import exp

from evenfire.physics.compiled import part


@part
def polynomial(share: float, c0: float, c1: float, c2: float, c3: float, c4: float) -> float:
    """Value at a share of the step [unit of the coefficients]."""
    return c0 + share * (c1 + share * (c2 + share * (c3 + share * c4)))


@part
def follow(start: float, lags: float, share: float, c0: float, c1: float, c2: float, c3: float, c4: float) -> float:
    """What lags ``lags`` steps behind a polynomial, at a share of the step [unit of the coefficients].

    Parameters
    ----------
    start
        Where it stands when the step begins.
    lags
        Its time constant as a share of the step [1]; nought follows at once.
    share
        [1], above nought.
    c0, c1, c2, c3, c4
        Coefficients of what it follows, in powers of the share.

    Notes
    -----
    With z = share/lag, ``y = e^-z y0 + sum c_k share^k m_k``, where m_k is the integral of z e^(-z(1-x)) x^k over x
    from 0 to 1: m_0 = 1 - e^-z, m_k = 1 - k m_(k-1)/z. Below z = 1 that recurrence is run backwards from the series
    of m_4, because forwards it loses its digits.
    """
    if lags <= 0.0:
        return polynomial(share, c0, c1, c2, c3, c4)
    z = share / lags
    fading = exp(-z)
    if z > 1.0:
        m0 = 1.0 - fading
        m1 = 1.0 - m0 / z
        m2 = 1.0 - 2.0 * m1 / z
        m3 = 1.0 - 3.0 * m2 / z
        m4 = 1.0 - 4.0 * m3 / z
    else:
        term = z / 5.0
        m4 = term
        for count in range(6, 20):
            term *= -z / count
            m4 += term
        m3 = (1.0 - m4) * z / 4.0
        m2 = (1.0 - m3) * z / 3.0
        m1 = (1.0 - m2) * z / 2.0
        m0 = (1.0 - m1) * z
    reached = m0 * c0 + share * (m1 * c1 + share * (m2 * c2 + share * (m3 * c3 + share * m4 * c4)))
    return fading * start + reached
