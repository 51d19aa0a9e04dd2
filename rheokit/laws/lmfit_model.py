"""A flow law as a model of lmfit, for those who fit curves with it."""

from __future__ import annotations

from dataclasses import fields
from functools import cache
from inspect import Parameter as SignatureParameter
from inspect import Signature, isabstract
from typing import TYPE_CHECKING

import numpy as np

from ..errors import DataError
from ..inputs import trusted

if TYPE_CHECKING:
    import lmfit

    from .base import FlowLaw

LEAST = 1e-12  # lower bound of what must be above 0: bounds of lmfit hold their ends
OFF_BOUND = 0.01  # of the least stress, or of 1: a guess on a bound is moved by it, since lmfit sees no slope there


class Curve:
    """The shear stress [Pa] of a class of laws, as a function of the rate and of the parameters by name."""

    def __init__(self, law_class: type[FlowLaw]) -> None:
        """Take a class of laws."""
        self.law_class, self.__name__ = law_class, law_class.__name__

    @property
    def __signature__(self) -> Signature:
        """What lmfit takes the names of parameters from."""
        names = ["shear_rate", *self.law_class.parameters()]
        return Signature([SignatureParameter(name, SignatureParameter.POSITIONAL_OR_KEYWORD) for name in names])

    def __call__(self, shear_rate, **values):
        """Return the shear stress [Pa] at shear rates [1/s]."""
        with trusted():
            return self.law_class(**values).shear_stress(shear_rate)


def lmfit_model(law_class: type[FlowLaw], prefix: str = "") -> lmfit.Model:
    """Return an `lmfit.Model` of a class of laws; see `FlowLaw.lmfit_model`."""
    if isabstract(law_class) or set(law_class.parameters()) != {one.name for one in fields(law_class)}:
        raise DataError(f"{law_class.__name__}.lmfit_model: it is no curve of its own; ask one of rk.LAWS.")
    return _model_class()(law_class, prefix)


@cache
def _model_class():
    import lmfit

    class FlowLawModel(lmfit.Model):
        """The flow curve of a law: `shear_rate` [1/s] is the independent variable, the stress [Pa] is what it gives."""

        def __init__(self, law_class, prefix=""):
            self.law_class = law_class
            names = list(law_class.parameters())
            super().__init__(Curve(law_class), ["shear_rate"], names, prefix=prefix, name=law_class.name or None)
            for name, about in law_class.parameters().items():
                low = max(about.low, LEAST) if about.logarithmic else about.low
                self.set_param_hint(name, min=low, max=about.high)

        def make_params(self, verbose=False, **values):
            """Return `lmfit.Parameters`, the unit of each in its `user_data`."""
            made = super().make_params(verbose, **values)
            for name, about in self.law_class.parameters().items():
                made[f"{self.prefix}{name}"].user_data = {"symbol": about.symbol, "unit": about.unit}
            return made

        def guess(self, data, shear_rate, **values):
            """Return `lmfit.Parameters` to start from, for stresses [Pa] read at shear rates [1/s]; values go before."""
            rates, stresses = np.broadcast_arrays(np.asarray(shear_rate, float), np.asarray(data, float))
            known = np.isfinite(rates) & np.isfinite(stresses)
            rates, stresses = rates[known], stresses[known]
            if not len(rates) or np.any(rates <= 0) or np.any(stresses <= 0):
                raise DataError(
                    f"{self.name}.guess: {len(rates)} readings, the least rate {np.min(rates, initial=np.inf):g} 1/s and the "
                    f"least stress {np.min(stresses, initial=np.inf):g} Pa; give one at least, and rates and stresses above 0."
                )
            with trusted():
                found = self.law_class.guess(rates, stresses).values
            for name, about in self.law_class.parameters().items():
                room = OFF_BOUND * (float(np.min(np.abs(stresses))) if about.unit == "Pa" else 1.0)
                if found[name] <= about.low:
                    found[name] = about.low + room
                elif found[name] >= about.high:
                    found[name] = about.high - room
            return self.make_params(**{f"{self.prefix}{name}": value for name, value in found.items()} | values)

        def __reduce__(self):
            """Copy and pickle by the class of laws, since this class is made only where lmfit is loaded."""
            return lmfit_model, (self.law_class, self.prefix), self.__dict__

    return FlowLawModel
