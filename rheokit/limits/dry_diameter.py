"""Will the dry fibre be as thick as it is wanted?"""

import numpy as np

from ..checking import Example
from ..fibre.draw import winding_speed
from ..hints import Numbers
from ..machine.cautions import CAUTIONS
from ..nomenclature import written
from ..part.job import FIBRE
from .base import Limit
from .case import Case
from .plain import fibre

AIMED = 10  # tenth of what is allowed, within which best values hit what is wanted: another speed would not help
STEADIER = "hold flow and winding speed steadier, and measure the dry section better: the speed is that for the diameter wanted"


class DryDiameter(Limit):
    """Diameter of the dry fibre against the one that is wanted, give or take."""

    name = "dry diameter"
    label = "diameter of the dry fibre"
    unit = "m"
    jobs = (FIBRE,)
    model_error = 0.05
    needs = ("dry_section",)
    formula = "d_d = (4Q/πv_w)^½ φ_f^½ held on the drum, φ_f^⅓ loose; wanted (1 ± u)"
    source = "mass balance"
    example = (
        Example(
            given=fibre("throughput winding_speed dry_section dry_diameter dry_diameter_tolerance"),
            expected={
                "value": 2.08062838e-4,
                "low": 1.848e-4,
                "high": 2.352e-4,
                "margin": 0.118565980,
                "margin with error": 0.0685659802,
            },
            source="by hand: (4*11.3/(pi*113)*0.34)^(1/2) mm against 0.21 (1 - 0.12); 0.05 for the formula",
        ),
        Example(
            given=fibre("throughput winding_speed dry_section dry_diameter dry_diameter_tolerance", held=False),
            expected={
                "value": 2.49047029e-4,
                "low": 1.848e-4,
                "high": 2.352e-4,
                "margin": -0.0572055336,
                "margin with error": -0.107205534,
            },
            source="by hand, loose: (4*11.3/(pi*113))^(1/2)*0.34^(1/3) mm against 0.21 (1 + 0.12)",
        ),
    )
    remedies = "wind slower: it is thinner than wanted", "wind faster: it is thicker than wanted"
    remedy = "; ".join(remedies)
    caution = CAUTIONS["hot gel"]

    def remedy_for(self, case: Case) -> str:  # noqa: D102
        off = np.abs(np.mean(self.value(case)) / case.job.dry_diameter - 1)
        return STEADIER if off < case.job.dry_diameter_tolerance / AIMED else super().remedy_for(case)

    def asked(self, case: Case) -> bool:  # noqa: D102
        return case.job.dry_diameter is not None

    def remark(self, case: Case) -> str:
        """Return the speed that would give the diameter that is wanted."""
        job = case.job
        speed = winding_speed(
            job.dry_diameter, flow_rate=case.flow_rate, dry_section=case.paste.dry_section, held=job.held
        )
        return f"that wanted is wound at {written(float(np.mean(speed)), 'winding_speed')}"

    def value(self, case: Case) -> Numbers:  # noqa: D102
        return case.dry_diameter

    def low(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.dry_diameter * (1 - case.job.dry_diameter_tolerance)

    def high(self, case: Case) -> Numbers:  # noqa: D102
        return case.job.dry_diameter * (1 + case.job.dry_diameter_tolerance)
