"""What every law says of conditions until it depends on one: nothing, at no cost."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, ClassVar

from numpy.typing import ArrayLike

from ..hints import Numbers

if TYPE_CHECKING:
    from .base import FlowLaw
    from .conditions import Condition


class WithoutConditions:
    """The part of a `FlowLaw` that is asked for its law at a temperature, water content and age."""

    conditions: ClassVar[tuple[tuple[Condition, float], ...]] = ()
    """What it depends on beside the rate, each with its reference."""

    def at(
        self, temperature: ArrayLike | None = None, water_content: ArrayLike | None = None, age: ArrayLike | None = None
    ) -> FlowLaw:
        """Return the law at a temperature [K], water content [-, dry basis] and age [s]: itself, where it depends on none.

        What is not given is at its reference, and what the law has no parameter for changes nothing: `heated`, `watered` and `aged`
        make laws that have one.
        """
        return self  # type: ignore[return-value]  # it is a FlowLaw

    @property
    def depends_on(self) -> tuple[str, ...]:
        """Names of the conditions that it depends on beside the rate, in the order of `at`; none by default."""
        return ()

    @property
    def effects(self) -> dict[str, Numbers]:
        """Values of the parameters that say how conditions act, by name; none by default."""
        return {}

    @property
    def condition(self) -> dict[str, Numbers]:
        """The condition at which the law is, by name of what it depends on; nothing by default."""
        return {}

    @classmethod
    def factors_at(cls, given: Mapping[str, Any], effects: Mapping[str, Numbers]) -> tuple[Numbers, Numbers]:
        """Return the factors on every stress and rate [-] at conditions by name, where the parameters that say how they act have values."""
        return 1.0, 1.0

    @property
    def unconditioned(self) -> FlowLaw:
        """The law itself; of one that depends on conditions the one at its reference, which does not."""
        return self  # type: ignore[return-value]  # it is a FlowLaw

    @classmethod
    def without_conditions(cls) -> type[FlowLaw]:
        """Return the class of laws itself; of one that depends on conditions the class that it was made of."""
        return cls  # type: ignore[return-value]  # of laws
