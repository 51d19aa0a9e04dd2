"""Polynomials through a few readings, with honest uncertainties: what every correction stands on."""

from typing import NamedTuple

import numpy as np

from ..sampling import TAILS, by_scatter, widened

REPEATS = 0.005  # share of itself below which no bench reading repeats; common practice, no source
CHANCE = 0.01  # chance of calling sound readings bad
PENALTY = 0.6  # of a coefficient, on the ln of how likely an order is
LIKELY = 0.05  # chance of taking a higher order than is needed


class Polynomial(NamedTuple):
    """A weighted least-squares polynomial, lowest power first, in x minus its centre."""

    centre: float
    coefficients: np.ndarray
    covariance: np.ndarray
    freedom: float
    sum_of_squares: float
    scale: float
    gain: np.ndarray  # coefficients for one more of each y, shape (order + 1, N)
    spare: np.ndarray  # sd of each residual over that of its reading, (1 - leverage)^(1/2)

    def _basis(self, x, derivative=0):
        powers, away = np.arange(len(self.coefficients)), np.subtract(x, self.centre)[..., None]
        factor = np.ones(len(powers))
        for k in range(derivative):
            factor = factor * (powers - k)
        return factor * away ** np.maximum(powers - derivative, 0)

    def value(self, x, derivative=0):
        """Return the polynomial or a derivative of it."""
        return self._basis(x, derivative) @ self.coefficients

    def uncertainty(self, x, derivative=0):
        """Return the standard uncertainty of the polynomial or of a derivative of it."""
        basis = self._basis(x, derivative)
        return np.sqrt(np.maximum(np.einsum("...i,ij,...j", basis, self.covariance, basis), 0.0))

    @property
    def of_start(self):
        """How much a straight line at x = 0 changes with each reading, shape (N,)."""
        return self.gain[0] - self.centre * self.gain[1]

    def bend(self, half, middle):
        """Return how far a parabola lies above its chord of half a width, over a middle, and the uncertainty of which 1.96 hold 95 %."""
        error = np.sqrt(self.covariance[2, 2]) * widened(self.freedom)
        return -self.coefficients[2] * half**2 / middle, error * half**2 / middle

    @property
    def quantile(self):
        """How many standard uncertainties make a 95 % interval."""
        return quantile(TAILS[1], self.freedom)

    @property
    def growth(self):
        """By how much the readings err more than their uncertainties, such that 1.96 of them hold 95 %."""
        return self.scale * widened(self.freedom)


def growth(lines):
    """Return by how much readings about several curves err more than was stated of all of them alike; 1.96 of it hold 95 %."""
    squares, spare = (
        sum(one.sum_of_squares for one in lines),
        sum(len(one.spare) - len(one.coefficients) for one in lines),
    )
    size, freedom = by_scatter(squares, spare)
    return size * widened(freedom)


def quantile(share, freedom):
    """Return the quantile of Student's distribution, or with infinite freedom of the normal."""
    from scipy.special import ndtri, stdtrit  # scipy.stats takes a second to load

    return float(ndtri(share) if np.isinf(freedom) else stdtrit(freedom, share))


def fitted(x, y, uncertainty, order, known, surely=False):
    """Return the weighted `Polynomial` of an order.

    A known uncertainty grows with the residuals where these are larger, see `by_scatter`, or where `surely` asks for it, is taken
    as it is unless they are larger by more than chance; an unknown one has its shape from `uncertainty` and its size from the residuals.
    """
    x, y, u = (np.asarray(v, float) for v in (x, y, uncertainty))
    centre = float(np.average(x, weights=u**-2))
    design = (x - centre)[:, None] ** np.arange(order + 1)
    scales = np.abs(design).max(axis=0)
    scales[scales == 0] = 1.0
    weighted = design / scales / u[:, None]
    inverse = np.linalg.pinv(weighted.T @ weighted)
    coefficients = inverse @ (weighted.T @ (y / u)) / scales
    left = float(np.sum(((y - design @ coefficients) / u) ** 2))
    spare = len(x) - order - 1
    if known and surely and not (spare and left / spare > 1 + 3 * np.sqrt(2 / spare)):
        size, freedom = 1.0, np.inf
    else:
        size, freedom = by_scatter(left, spare, known) if spare or known else (np.nan, 0)
    covariance = inverse * size**2 / np.outer(scales, scales)
    gain = inverse @ weighted.T / scales[:, None] / u
    of_reading = np.sqrt(np.maximum(1 - np.einsum("ij,ji->i", design, gain), 0.0))
    return Polynomial(centre, coefficients, covariance, freedom, left, float(size), gain, of_reading)


def off_lines(x, readings):
    """Return (how far each reading lies off a straight line in x, as a share, shape (lines, readings), their scatter)."""
    off = np.array([1 - fitted(x, y, y, 1, known=False).value(x) / y for y in readings])
    return off, float(np.sqrt(np.sum(off**2) / ((len(x) - 2) * len(off))))


class Average(NamedTuple):
    """Polynomials of several orders through the same readings, and how much each counts."""

    fits: tuple
    shares: np.ndarray

    def value(self, x, derivative=0):
        """Return the mean curve or a derivative of it."""
        return sum(share * one.value(x, derivative) for share, one in zip(self.shares, self.fits, strict=True))

    def gain(self, x, derivative=0):
        """Return how much it changes at each x with each reading, shape (len(x), N)."""
        return sum(s * one._basis(x, derivative) @ one.gain for s, one in zip(self.shares, self.fits, strict=True))

    def doubt(self, x, derivative=0):
        """Return what is not known of the curve's shape, as a standard deviation.

        That of the orders about their mean, and half the square of what one more order would change: readings that
        prefer one order clearly leave its own bias, which no spread about the mean shows.
        """
        values = np.array([one.value(x, derivative) for one in self.fits])
        about = self.shares @ (values - self.shares @ values) ** 2
        steps = np.diff(values, axis=0) ** 2
        return np.sqrt(about + (self.shares @ [*steps, steps[-1]] / 2 if len(steps) else 0.0))

    def uncertainty(self, x, derivative=0):
        """Return the uncertainty of the mean curve, of scatter and shape, of which 1.96 hold 95 %."""
        pairs = zip(self.shares, self.fits, strict=True)
        scatter = sum(s * (one.uncertainty(x, derivative) * widened(one.freedom)) ** 2 for s, one in pairs)
        return np.sqrt(scatter + self.doubt(x, derivative) ** 2)


def averaged(x, y, uncertainty, known):
    """Return the `Average` of the polynomials of order 1 to 6 that rise at every reading.

    One order, chosen, hides how far off its slope may be where the readings cannot tell it from the next. Each counts
    by its likelihood and a penalty a coefficient; the spread of the orders is part of the uncertainty (Buckland,
    Burnham and Augustin, Biometrics 53 (1997) 603, from memory). Akaike's penalty of 1 leaves out too much: 84 % of
    the rows of power laws and Herschel-Bulkley laws held their slope; with this one 93 to 98 %, from 5 readings on.
    So does the slowest reading near a yield stress, where n′ is a few per cent, as long as none is left out for having a
    slope that may be nothing. Which orders there are does not depend on whether an uncertainty is stated.
    """
    count = len(x)
    spare = 2 if count < 6 else 3  # one coefficient more than the order, and one or two to judge the scatter
    fits = [fitted(x, y, uncertainty, order, known) for order in range(1, 7) if count - order >= spare]
    rising = [one for one in fits if np.all(one.value(x, 1) > 0)] or fits[:1]
    floor = float(np.sum((1e-6 / np.asarray(uncertainty)) ** 2))
    lack = np.array([one.sum_of_squares for one in rising])
    coefficients = np.array([len(one.coefficients) for one in rising])
    penalty = PENALTY * coefficients
    if not known:
        lack = count * np.log(np.maximum(lack, floor))
        penalty = penalty * count / np.maximum(count - coefficients - 1, 1)
    cost = lack / 2 + penalty
    shares = np.exp(cost.min() - cost)
    return Average(tuple(rising), shares / shares.sum())


def smooth(x, y, uncertainty, known, surely=False):
    """Return the weighted quadratic, or a cubic or quartic where better, or a straight line below five readings.

    A quadratic that is not needed costs some precision; a straight line through a curve gives a wrong slope with a
    small uncertainty. A higher order must beat the lower by more than chance (F test) and bring the scatter down where
    it is worth it (above 0.1 %); a cubic needs seven readings, a quartic nine.
    """
    from scipy.special import fdtri

    count = len(x)
    if count < 5:
        return fitted(x, y, uncertainty, 1, known, surely)
    orders = [2, *(order for order, least in ((3, 7), (4, 9)) if count >= least)]
    fits = {order: fitted(x, y, uncertainty, order, known, surely) for order in orders}
    floor = float(np.sum((1e-3 / np.asarray(uncertainty)) ** 2))

    def beats(high, low):
        gained = (fits[low].sum_of_squares - fits[high].sum_of_squares) / (high - low)
        left = max(fits[high].sum_of_squares, 1e-30) / (count - high - 1)
        return fits[low].sum_of_squares > floor and gained / left > fdtri(high - low, count - high - 1, 1 - LIKELY)

    return fits[next(low for low in orders if not any(beats(high, low) for high in orders if high > low))]


def odd_one_out(x, y, uncertainty, known):
    """Return (row, y minus what the others say, their fit) of the one reading that the others do not explain, or None.

    The studentised deleted residual: each reading against the smooth curve of the others, whose order and scatter are
    found without it (a stated uncertainty stands where the others bear it out), and Bonferroni's limit for having
    looked at all of them. A curve of one order more must say so too: where a polynomial is continued past its readings, to
    a first or last one, its own bend misses a sound reading. A reading that is less than 3 % off is left in peace.
    """
    found, count = None, len(x)
    if count < 6:
        return None
    for row in range(count):
        others = tuple(np.delete(v, row) for v in (x, y, uncertainty))
        rest = smooth(*others, known, surely=True)
        order = len(rest.coefficients)
        more = fitted(*others, order, known, surely=True) if count - 1 > order + 1 else rest
        off = float(y[row] - rest.value(x[row]))
        chance = count * max(_chance(one, x[row], y[row], uncertainty[row]) for one in (rest, more))
        if chance < CHANCE and abs(off) > 0.03 and (found is None or chance < found[0]):
            found = chance, row, off, rest
    return found and found[1:]


def _chance(curve, x, y, uncertainty):
    """Return how likely a reading lies so far from a curve that does not know it."""
    from scipy.special import ndtr, stdtr

    size = curve.scale * uncertainty
    own = max(size, REPEATS)
    swell = own / max(size, 1e-30)
    rarity = abs(float(y - curve.value(x))) / np.hypot(own, swell * curve.uncertainty(x))
    return 2 * float(ndtr(-rarity) if np.isinf(curve.freedom) else stdtr(curve.freedom, -rarity))


def common(values, uncertainties, shared=0.0):
    """Return (mean, how many standard uncertainties it is from 0, how many are surely no chance).

    With uncertainties of the values their weighted mean; without, the plain mean and its scatter, which needs three.
    `shared` is the part of their uncertainties that all have in common, so that a mean does not make it smaller.
    """
    values = np.asarray(values, float)
    if np.all(np.isfinite(uncertainties)):
        weights = np.maximum(uncertainties, 1e-12) ** -2.0
        mean = float(np.sum(weights * values) / np.sum(weights))
        alone = float(np.mean(uncertainties)) * shared
        return mean, mean / float(np.hypot(np.sum(weights) ** -0.5, alone)), quantile(1 - CHANCE / 2, np.inf)
    count, mean = len(values), float(np.mean(values))
    if count < 3:
        return mean, 0.0, np.inf
    scatter = max(float(np.std(values, ddof=1)) / np.sqrt(count), 1e-6)
    return mean, mean / scatter, quantile(1 - CHANCE / 2, count - 1)
