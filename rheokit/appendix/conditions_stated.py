"""Temperature, water content and age of the specimen in words, with the ± that was typed."""

from ..errors import DataError
from ..nomenclature import QUANTITIES, unit_for, with_uncertainty, with_unit, written
from ..reading.stated import stated_number
from .study import Study


def uncertainty_of(study: Study, name: str) -> float | None:
    """Return the standard uncertainty [SI] that was typed of a condition of the specimen; None where none was."""
    value = getattr(study.specimen, name)
    if value is None:
        return None
    if name != "temperature":
        spread = study.specimen.spreads.get(name)
        return None if spread is None else spread * value
    try:
        return stated_number(study.stated["specimen"][name], QUANTITIES[name].unit, name).uncertainty
    except (DataError, KeyError, TypeError):  # a bench that was made otherwise
        return None


def of_specimen(study: Study, name: str) -> str:
    """Return a condition of the specimen that is stated in words, as 23.0 ± 0.5 °C."""
    value, error = getattr(study.specimen, name), uncertainty_of(study, name)
    if not error:
        return written(value, name)
    unit = unit_for(QUANTITIES[name], value)
    middle, spread = with_uncertainty((value - unit.zero) / unit.factor, error / unit.factor)
    return with_unit(f"{middle} ± {spread}", unit.text)
