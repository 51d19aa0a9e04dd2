"""What a user writes, for a type checker; it is not run. A line that must be refused ends on the code of its error."""

from typing import TYPE_CHECKING, assert_type

import numpy as np

import rheokit as rk
from rheokit.bench import Property
from rheokit.fitting import Interval
from rheokit.hints import Numbers
from rheokit.units import mm

if TYPE_CHECKING:
    bench = rk.read_bench("my-paste")
    assert_type(bench, rk.Bench)
    assert_type(bench.tests, tuple[rk.BenchTest, ...])
    assert_type(bench.properties(), dict[str, Property])

    law = rk.HerschelBulkley(yield_stress=650.0, consistency=210.0, flow_index=0.38)
    assert_type(law.shear_stress(1.0), Numbers)
    law.shear_stress([1.0, 10.0])
    law.shear_stress(np.logspace(0, 2))
    rk.Bingham(yield_stress=np.full((100, 1, 1), 650.0), plastic_viscosity=12.0)

    nozzle = rk.Nozzle(rk.Cone(inlet_diameter=4 * mm, outlet_diameter=1.6 * mm, length=20 * mm))
    extruder = rk.Extruder(barrel_diameter=26.7 * mm, fill_length=80 * mm, nozzle=nozzle, drive=rk.HandDrive())
    assert_type(extruder.plunger_force(law, flow_rate=2e-8), Numbers)
    assert_type(rk.rise(extruder, law, 2e-8, 0.03).lag, Numbers)

    fit = rk.fit(rk.HerschelBulkley, bench, fixed={"flow_index": 0.4}, use_range=(1.0, 100.0))
    assert_type(fit, rk.FitResult)
    assert_type(fit.interval(lambda law: law.shear_stress(50.0)), Interval)
    assert_type(fit.limits("yield_stress"), tuple[float, float])
    assert_type(fit.law, rk.FlowLaw)
    assert_type(bench.tests[0].predict(fit.law), np.ndarray)
    rk.compare([rk.PowerLaw, rk.HerschelBulkley], bench)

    rk.fit(law, bench)  # wrong: arg-type
    fit.interval(50.0)  # wrong: arg-type
    law.shear_stress(bench)  # wrong: arg-type
    rk.Nozzle(law)  # wrong: arg-type
    rk.Extruder(barrel_diameter=26.7 * mm, nozzle=nozzle)  # wrong: call-arg
    law.shear_strss(1.0)  # wrong: attr-defined
    print(rk.HershelBulkley)  # wrong: attr-defined
