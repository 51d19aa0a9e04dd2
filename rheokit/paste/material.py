"""A material: its law and the other numbers a print asks for, each with its spread and where it comes from.

`Paste` holds plain numbers, or columns of joint draws, and is what limits and regions compute with. `Material` knows how
far each of them is to be trusted, and draws pastes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import TYPE_CHECKING, Any, Self

import numpy as np

from ..brief import one_screen
from ..errors import DataError
from ..framed import framed
from ..hints import Numbers
from ..inputs import judged_number, trusted
from ..laws import FlowLaw
from ..laws.at_condition import AtCondition
from ..nomenclature import QUANTITIES
from ..origins import ASSUMED, MEASURED, UNSAID, USUAL, is_fitted, of_fit, of_invented, word_of
from ..sampling import Normals, next_spread, students, widened
from ..things import a, named
from .covered import RANGES, Covered
from .fitted import FittedApparatus, FittedLaws, Rig, static_ratio_of, told
from .properties import LEAST, Paste, bounded

if TYPE_CHECKING:
    import pandas as pd

    from ..fitting.result import FitResult
    from ..machine.extruder import Extruder

REFERENCE = f"{ASSUMED}: the reference of the law"
ALIKE = 0.01  # of ln of a parameter: where it differs more between laws that readings cannot tell apart it has no value
BATCH_SPREAD = 0.15  # sd of ln stress from batch to batch: 0.10 to 0.25 is usual; common practice, no source


@dataclass(frozen=True, kw_only=True, eq=False)
class Material(Covered):
    """A paste with how far each of its numbers is to be trusted.

    Parameters
    ----------
    paste : Paste
        Best values: the fitted law, medians.
    spreads : mapping of str to float
        Standard deviation of the ln of a property; the usual one where it is not given. [-]
    origins : mapping of str to str
        Where "law", "batch_spread" and properties come from: measured, fitted, table, assumed or invented, and after a colon
        the detail. What is not named is assumed.
    batch_spread : float
        Standard deviation of ln stress from batch to batch, which more tests of one batch do not reduce. [-]
    batch_freedom : float
        Degrees of freedom behind that spread: a few batches tell it badly, and the next one is then Student's t. [-]
    one_batch_read : bool
        Whether the law is that of one batch read, off the median of batches by a deviation of its own, as the next one is.
    law_draws : callable, optional
        (count, seed) to (law of joint draws, static ratios or None).
    law_spreads : mapping of str to float, optional
        Where there is no fit: sd of ln of a parameter with a unit, sd of one without (a flow index). [-]
    rate_range : tuple of float or None
        Shear rates that the readings behind the law cover. [1/s]
    yield_read : bool
        Whether they hold a test of the dynamic yield stress, which covers everything slower than those rates.
    temperature_range : tuple of float or None
        Temperatures that the readings cover, where the law depends on them. [K]
    water_range : tuple of float or None
        Water contents, dry basis. [-]
    age_range : tuple of float or None
        Times since mixing. [s]
    caveats : tuple of str
        Sentences that go before every verdict: that checks of the fit failed.
    not_identified : str
        What the readings behind the law leave open, and what it needs; "" where nothing.
    laws_alike : FlowLaw or None
        Laws that these readings cannot tell apart, fields of shape (k, 1, 1): what differs between them is not known.
    lean_width : float or None
        Thickness of the test walls whose lean the modulus holds: a wall as thick then leans as they did. [m]
    """

    paste: Paste
    spreads: Mapping = field(default_factory=dict)
    origins: Mapping = field(default_factory=dict)
    batch_spread: float = BATCH_SPREAD
    batch_freedom: float = np.inf
    one_batch_read: bool = False
    law_draws: Callable | None = field(default=None, repr=False)
    law_spreads: Mapping = field(default_factory=dict)
    rate_range: tuple | None = None
    yield_read: bool = False
    caveats: tuple = ()
    not_identified: str = ""
    laws_alike: FlowLaw | None = field(default=None, repr=False)
    lean_width: float | None = None

    def __post_init__(self):
        a("Paste", "Material", "paste", self.paste)
        for name in ("spreads", "origins", "law_spreads"):
            a("dict", "Material", name, getattr(self, name))
        names = {f.name for f in fields(Paste)}
        for name in [*self.spreads, *self.origins]:
            if name not in names | {"batch_spread"}:
                raise DataError(f"Material: {name} is no property of a paste; it has {', '.join(sorted(names))}.")
            word_of(self.origins.get(name, UNSAID))
        for what, given in (("spread", self.spreads), ("law spread", self.law_spreads)):
            for name, value in given.items():
                judged_number("Material", f"{what} of {name}", value, "spread")
        judged_number("Material", "batch_spread", self.batch_spread, "batch_spread")

    def __repr__(self):
        return one_screen("Material:", told(self))

    def _repr_html_(self):
        return self.table._repr_html_()

    @classmethod
    def of(
        cls,
        fit: FitResult,
        batch_spread: float | None = None,
        spreads: Mapping[str, float] | None = None,
        origins: Mapping[str, str] | None = None,
        lean_width: float | None = None,
        **properties: Any,
    ) -> Self:
        """Return the material that a fit describes.

        Parameters
        ----------
        fit : FitResult
            Law and its joint draws, static yield stress where a static test was fitted, rates covered; what the tests of
            properties of its benches measure, the first bench before the next; density, air and water content from its
            specimen where no test measures them; what is left as tests of something else state it, such as a gel point.
        batch_spread : float, optional
            sd of ln stress from batch to batch [-]; the fitted one where several batches were fitted, known as well as
            their number and what is usual allow, else 0.15 is assumed.
        spreads, origins : mapping, optional
            sd of ln [-] and origin of properties (see `Material`). What comes from an invented bench is invented.
        lean_width : float, optional
            Thickness of the test walls of whose lean a given modulus was read. [m]
        **properties : float
            Any property of `Paste`. [SI, as there]
        """
        a("FitResult", "Material.of", "fit", fit)
        named("Material.of", properties, Paste.__dataclass_fields__, "property of a paste")
        given = set(properties)
        walls = (test for bench in fit.benches for test in bench.tests if "lean_factor" in test.gives)
        widths = {test.wall_width for test in walls}  # type: ignore[attr-defined]  # what leaned is a wall
        invented = any(bench.specimen.invented for bench in fit.benches)
        fitted = of_fit(invented, fit.stamp)
        origins = {"law": fitted, **dict.fromkeys(properties, UNSAID), **(origins or {})}
        spreads = dict(spreads or {})

        def read(bench, detail):
            origin = f"{MEASURED}: {detail}"
            return of_invented(origin) if bench.specimen.invented else origin

        # where the law depends on the water the paste is at its reference, and no batch of the series
        of_law = {"water_content"} & {*fit.law.depends_on}

        def take(bench, found):
            for name, one in found.items():
                if name not in properties:
                    properties[name] = one.value
                    origins.setdefault(name, read(bench, one.origin))
                    spreads.setdefault(name, one.spread)

        for bench in fit.benches:
            measured = {name: one for name, one in bench.properties().items() if one.side <= 0 and name not in of_law}
            if "modulus" in given:
                measured.pop("lean_factor", None)
            take(bench, measured)  # a largest grain that is at least so large is not known
        effects = fit.law.effects  # how what the law depends on acts is drawn with it
        origins |= {name: fitted for name in effects if name in Paste.__dataclass_fields__}
        spreads |= dict.fromkeys(effects.keys() & Paste.__dataclass_fields__.keys(), 0.0)
        law = fit.law.at(water_content=properties.get("water_content"))
        origins |= {name: REFERENCE for name in of_law if name not in properties}
        for bench in fit.benches:
            take(bench, {name: one for name, one in bench.stated().items() if name not in of_law})
        if "static_ratio" not in properties and "static_ratio" in fit.nuisance and fit.tells("static_ratio"):
            properties["static_ratio"], origins["static_ratio"] = static_ratio_of(fit, fitted)
        freedom = np.inf
        if batch_spread is not None:
            origins.setdefault("batch_spread", UNSAID)
        elif fit.batch_spread:
            batch_spread, freedom = fit.batch_spread[0], fit.batch_freedom
            few = f"{ASSUMED}: {fit.between_batches}"
            origins["batch_spread"] = fitted if fit.batches_told else of_invented(few) if invented else few
        else:
            batch_spread = BATCH_SPREAD

        ranges: dict[str, Any] = {field: fit.condition_ranges.get(name) for name, field in RANGES.items()}
        return cls(
            paste=Paste(law=law, **properties),
            spreads=spreads,
            origins=origins,
            batch_spread=batch_spread,
            batch_freedom=freedom,
            one_batch_read=not fit.problem.batches,
            law_draws=FittedLaws(fit, is_fitted(origins.get("static_ratio", ""))),
            rate_range=fit.rate_range,
            yield_read=fit.yield_measured,
            **ranges,
            caveats=tuple(filter(None, [fit.stamp])),
            apparatus=FittedApparatus(fit),
            not_identified="" if fit.laws_alike is None else fit.left_open,
            laws_alike=fit.laws_alike,
            lean_width=lean_width if "modulus" in given else widths.pop() if len(widths) == 1 else None,
        )

    def spread(self, name: str) -> Numbers:
        """Return the standard deviation of the ln of a property [-]."""
        return self.spreads.get(name, QUANTITIES[name].spread if name in QUANTITIES else 0.0)

    @trusted()
    def draws(self, count: int, seed: int, batch: bool = True) -> Paste:
        """Return a `Paste` of joint draws, every uncertain property a column (count, 1, 1): law, properties and, with `batch`, another batch."""
        normals = Normals(count, seed)
        ratios, law = None, self.own_law
        if self.law_draws is not None:
            law, ratios = self.law_draws(count, seed)
        elif self.law_spreads:
            law = self._spread_law(normals)
        law = self.paste.law.of(law) if isinstance(self.paste.law, AtCondition) else law
        changed: dict[str, Any] = {"law": law}
        for f in fields(Paste):
            value = getattr(self.paste, f.name)
            if f.name != "law" and value is not None and self.spread(f.name) > 0:
                changed[f.name] = value * np.exp(self.spread(f.name) * normals(f.name))
        if ratios is not None:
            changed["static_ratio"] = ratios
        changed |= {
            name: bounded(name, drawn, getattr(self.paste, name)) for name, drawn in changed.items() if name in LEAST
        }
        changed |= {name: value for name, value in law.effects.items() if name in Paste.__dataclass_fields__}
        paste = replace(self.paste, **changed)
        if not (batch and self.batch_spread):
            return paste
        spread = next_spread(self.batch_spread, self.one_batch_read)
        return paste.stiffer(np.exp(spread * students(normals("batch"), self.batch_freedom)))

    @property
    def sure_spread(self) -> Numbers:
        """Spread of ln stress, 1.96 of which hold 97.5 in 100 next batches [-]: of the batches, more where one was read or few tell it."""
        return next_spread(self.batch_spread, self.one_batch_read) * widened(self.batch_freedom)

    def rig(self, extruder: Extruder, count: int = 0, seed: int = 0) -> Rig:
        """Return the `Rig` of an extruder: as it stands, or with what the readings behind the law know of it.

        Parameters
        ----------
        extruder : Extruder
        count, seed : int
            Of the joint draws, those of `draws` with the same numbers; a count of 0 asks for best values.
        """
        return Rig(extruder) if self.apparatus is None else self.apparatus(extruder, count, seed)

    def _spread_law(self, normals):
        about = type(self.own_law).parameters()
        changed = {}
        for name, spread in self.law_spreads.items():
            if name not in about:
                raise DataError(
                    f"Material: law_spreads names {name}, which is no parameter of {type(self.own_law).__name__}."
                )
            value, step = getattr(self.own_law, name), spread * normals(f"law {name}")
            moved = value + step if about[name].unit == "-" else value * np.exp(step)
            changed[name] = np.clip(moved, about[name].low, about[name].high)
        return replace(self.own_law, **changed)

    def origin(self, name: str) -> str:
        """Return where "law", "batch_spread" or a property comes from: one of six words, with detail after a colon."""
        if name in self.origins:
            return self.origins[name]
        usual = BATCH_SPREAD if name == "batch_spread" else Paste.__dataclass_fields__[name].default
        value = self.batch_spread if name == "batch_spread" else getattr(self.paste, name)
        return USUAL if value is usual or (np.ndim(value) == 0 and value == usual) else UNSAID

    @property
    def table(self) -> pd.DataFrame:
        """What everything rests on, a DataFrame by property, the parameters of the law first.

        Columns symbol, value, unit, spread (sd of ln; missing where the law is drawn jointly), origin (see `origins`), and
        whether more tests would reduce it.
        """
        rows, parameters = [], type(self.own_law).parameters()
        for name, about in parameters.items():
            spread = self.law_spreads.get(name, np.nan if self.law_draws else 0.0)
            value, origin, alike = getattr(self.own_law, name), self.origin("law"), self.laws_alike
            if alike is not None and np.ptp(np.log(np.maximum(getattr(alike, name), 1e-300))) > ALIKE:
                value, origin = np.nan, self.not_identified
            rows.append((name, about.symbol, value, about.unit, spread, origin, True))
        for name in self.paste.asked_of_it:
            value, known = getattr(self.paste, name), QUANTITIES[name]
            if value is not None and name not in parameters:
                rows.append((name, known.symbol, value, known.unit, self.spread(name), self.origin(name), True))
        rows.append(("batch", "s_b", 1.0, "-", self.batch_spread, self.origin("batch_spread"), False))
        columns = ["property", "symbol", "value", "unit", "spread", "origin", "reducible"]
        return framed(rows, columns=columns).set_index("property")
