"""What goes wrong on the bench, as residuals show it: drift, transient rows, slip, end loss, yield stresses apart."""

from dataclasses import replace

import numpy as np

from ..bench.specimen import known_of_paste
from ..checking import Check
from ..machine.compression import Compression
from ..nomenclature import with_decimals, written
from ..origins import SPREAD_ASSUMED
from ..progress import step
from . import consequence
from .agreement import Said, agreement
from .freed import freed
from .residuals import chance_words, limit, lines, relative_errors, rows_of

USUAL_AIR = 0.03  # of a spoon-mixed paste; common practice, no source
DRIFT = 0.03  # of the reading, below which a drift is not worth a word
REPEATS = 0.10  # of the reading, by which a repeat may differ; common practice, no source
WORTH_FITTING = 16.0  # fall of the sum of squares that one or two more parameters must earn


def all_checks(result):
    """Return the rows of every artefact that can be looked for in these readings."""
    rows = []
    for ask in (drift, transient, agreement, slip, end_loss):
        step(f"checks: {ask.__name__.replace('_', ' ')}")
        rows += ask(result)
    return rows


def drift(result):
    """Do the readings of a record climb or fall through its stroke, or between its first row and its repeat?"""
    found = _along_stroke(result)
    rows = []
    if found:
        most = limit(len(found))
        name, change, rare = max(found, key=lambda one: (abs(one[1]) >= DRIFT, abs(one[2])))
        passed = bool(abs(rare) < most or abs(change) < DRIFT)
        comment = (
            f"{name}: the readings change by {with_decimals(100 * change, 1, sign=True)} % over the stroke, beside what the law and the fill "
            f"explain ({chance_words(rare, most)})."
        )
        if not passed:
            comment += (
                " Liquid migration (the paste is filtered: last extrudate drier than the first), drying or warming does"
                " this. Weigh and dry the first and the last extrudate; go faster, grind finer or add gum."
            )
        records = rows_of([test for test in result.tests if test.name == name], result)
        rows.append(
            Check("no drift through the stroke", change, DRIFT, passed, comment, records, bool(abs(rare) >= most))
        )
    return rows + _repeats(result)


def _along_stroke(result):
    """Return (name, change over the stroke as a share of the reading, normal deviate as rare) of records and of all.

    Each is asked twice: with the level of every record held to the law, and with levels of their own. At one speed the
    level says what the line means; at many, a wrong level must not hide it. The change is linear in what the fit has
    taken up: where a strong drift has pulled the law far, it is rough (12 to 20 % were said of 20 %).
    """
    frame = result.residuals
    order = np.where(frame.bound == 0, frame.stroke.to_numpy(float), np.nan)
    shares, places, names, directions, levels = relative_errors(result), frame.test.to_numpy(), [], [], []
    for place, test in enumerate(result.tests):
        own = (places == place) & np.isfinite(order)
        if own.sum() >= 4 and np.ptp(order[own]) > 0:
            levels.append(-1.0 * own / shares)  # a reading that is too high has a negative residual
            directions.append(levels[-1] * np.where(own, order - order[own].mean(), 0.0) / np.ptp(order[own]))
            names.append(test.name)
    if len(directions) > 1:
        names.append("all records together")
        directions.append(np.sum(directions, axis=0))
    if not directions:
        return []
    found = []
    for beside in ((), levels):
        changes, rare = lines(result, directions, beside)
        found += zip(names, map(float, changes), map(float, rare), strict=True)
    return found


def _repeats(result):
    """Compare repeats of one setting within a record, early against late, beside what the law and the fill explain."""
    frame, found = result.residuals, []
    ratio = (frame.reading / np.maximum(frame.predicted, 1e-300) * frame.run_factor).to_numpy()
    shares, places = relative_errors(result), frame.test.to_numpy()
    for place, test in enumerate(result.tests):
        setting = _setting(test)
        if setting is None or test.run_order is None or len(setting) < 3:
            continue
        order = np.argsort(test.run_order)
        first, last = order[0], order[-1]
        if abs(setting[last] / setting[first] - 1) < 0.01:
            own = np.flatnonzero(places == place)[[first, last]]
            direction = np.zeros(len(frame))
            direction[own] = np.array([1, -1]) / shares[own]
            _, (rare,) = lines(result, [direction])
            pair = tuple((place, int(row)) for row in (first, last))
            found.append((test.name, float(ratio[own[1]] / ratio[own[0]] - 1), float(rare), pair))
    if not found:
        return []
    most = limit(len(found))
    name, change, rare, pair = max(found, key=lambda one: (abs(one[1]) >= REPEATS, abs(one[2])))
    passed = abs(rare) < most or abs(change) < REPEATS
    how_far = f"{with_decimals(100 * abs(change), 1)} % {'more' if change > 0 else 'less'}"
    comment = f"{name}: the first setting, repeated last, reads {how_far} than at first ({chance_words(rare, most)})."
    if not passed:
        comment += (
            " The paste changed meanwhile (drying, rest, temperature, filtration): cover it, fix the rest, read faster."
        )
    return [Check("first setting repeats", change, REPEATS, passed, comment, pair, bool(abs(rare) >= most))]


def _setting(test):
    settings = ("shear_rate", "flow_rate", "pressure", "force")
    names = [name for name in settings if name in test.columns and name != test.reads]  # a plate's force is one number
    return getattr(test, names[0]) if names else None


def _in_short(origin):
    """Return an origin without what it says of its spread."""
    return origin.partition(";")[0].removesuffix(SPREAD_ASSUMED)


def transient(result):
    """Were rows read before trapped air had been compressed and the flow was steady?

    Only where the flow was set: under a weight, or air, the pressure is there at once.
    """
    known, early, rows = known_of_paste(result.benches, "air_content"), [], []
    air, whose = (USUAL_AIR, "assumed, not measured") if known is None else (known.value, _in_short(known.origin))
    taken = f"{with_decimals(100 * air, 1)} % air ({whose})"
    timed = [test for test in result.tests if test.extruder is not None and test.time is not None]
    timed = [test for test in timed if test.reads != "flow_rate"]
    for test in timed:
        needed = steady_after(test, result, air)
        for row in np.flatnonzero(test.time < needed):
            early.append(
                f"{test.name} {test.rows_where(row)} read after {test.time[row]:.0f} s, steady after {needed[row]:.0f} s"
            )
            rows.append((result.tests.index(test), int(row)))
    if not timed:
        return []
    comment = f"With {taken} every row was read when the flow was steady."
    if early:
        comment = (
            f"With {taken} these rows were still rising: {'; '.join(early)}. They read low and look like "
            "a low yield stress: wait longer, take the air out, or leave them out."
        )
    return [Check("rows read when steady", len(early), 0, not early, comment, tuple(rows))]


def steady_after(test, result, air):
    """Return the time [s] after which each row is steady: stored volume over flow, and five time constants C dP/dQ."""
    channel, flow = test.channel(result.nuisance), test.flow_rate
    law = test.at_its_condition(result.law)
    pressure = np.maximum(channel.pressure_drop(law, flow), 0.0)
    slope = (channel.pressure_drop(law, 1.01 * flow) - pressure) / (0.01 * flow)
    compression = Compression.of_paste(test.extruder.area * test.fill_length, air, test.extruder.compliance)
    return compression.stored_volume(pressure) / flow + 5 * compression.tangent(pressure) * slope


def slip(result):
    """Does paste flow at wall stresses below its yield stress, as it does when it slips?"""
    runs = [run for run in _runs(result) if run.slip == "none"]
    if not runs or result.unidentified:
        return []
    rows = _below_yield(result, runs)
    several = _with_several(runs, lambda land: land.diameter)
    if not several:
        return rows
    found = freed(result, _chosen(result, several, slip="fitted"), _slipping(result))
    if not found.known:
        return [*rows, _not_told("no flow below yield (slip)", "the paste slips at the wall", several, result)]
    gain = found.gain
    moved, allowed = consequence.moves_to(result, found.law)
    passed, marked = bool(gain < WORTH_FITTING or abs(moved) < allowed), ()
    comment = f"The readings show no slip at the wall: {_gained(gain)}"
    if gain >= WORTH_FITTING:
        comment = (
            f"The readings fit better if the paste slips at the wall ({_gained(gain)}), which moves the stress by up to "
            f"{consequence.share(moved)} {consequence.where(result)}: {consequence.beside_off(result, moved, allowed)}"
        )
    comment += "."
    if not passed:
        own = found.law.values.get("yield_stress")
        stress = "" if own is None else f"; with slip fitted the yield stress is {written(float(own), 'Pa')}"
        marked = _flowing_below(result, runs, own or 0.0) or rows_of(several, result)
        comment += (
            f" The flow depends on the bore as slip does{stress}. Roughen the walls, or fit the slip: write "
            'slip = "fitted" in the [[test]] of each bore in bench.toml (three bores). Do not use the no-slip law at low '
            "stress."
        )
    seen = bool(gain >= WORTH_FITTING)
    return [*rows, Check("no flow below yield (slip)", max(gain, 0.0), WORTH_FITTING, passed, comment, marked, seen)]


def end_loss(result):
    """Is the end loss what the converging-flow formula says?"""
    runs = [run for run in _runs(result) if run.end_correction == "formula" and run.inlet_diameter is not None]
    several = _with_several(runs, lambda land: land.length / land.diameter)
    if not several or result.unidentified:
        return []
    found = freed(result, _chosen(result, several, end_correction="fitted"), [result.law], nested=False)
    if not found.known:
        return [_not_told("end loss as the formula says", "the ends cost what the formula says", several, result)]
    gain = found.gain
    ends = ", ".join(with_decimals(value, 1) for key, value in found.nuisance.items() if key.name == "end_correction")
    passed = gain < WORTH_FITTING
    comment = f"The ends of the nozzle cost what the converging-flow formula says: a length of land fitted for them (L/D = {ends}) helps little: {_gained(gain)}."
    if not passed:
        comment = (
            f"The ends of the nozzle cost something else than the converging-flow formula says (fibres, elasticity, a rounded entry): "
            f"a length of land fitted for them, L/D = {ends}, brings the law nearer ({_gained(gain)}). Fit them:"
            ' write end_correction = "fitted" in the [[test]] of each length in bench.toml.'
        )
    return [Check("end loss as the formula says", max(gain, 0.0), WORTH_FITTING, passed, comment)]


def _gained(gain):
    """Return how much nearer to the readings a law comes, as the numbers behind a sentence."""
    falls = "rises" if gain <= -0.05 else "falls"
    return f"the squared misfit {falls} by {with_decimals(abs(gain), 1)}; from a fall of {with_decimals(WORTH_FITTING)} on it counts"


def _not_told(question, what, tests, result):
    """Return the row of a question whose search has not told: it is open, and does not pass."""
    comment = (
        f"Not known whether {what}: the search with it fitted did not end at a least sum of squares. Fit it by itself in bench.toml and compare "
        "the sums of squares, or take a simpler law."
    )
    return Check(question, np.nan, WORTH_FITTING, False, comment, rows_of(tests, result))


def _runs(result):
    """Return the runs through a straight land."""
    return [t for t in result.tests if t.nozzle is not None and t.channel(result.nuisance).land is not None]


def _with_several(runs, size):
    """Return the runs of every apparatus that has lands of two or more sizes."""
    sizes = {}
    for run in runs:
        sizes.setdefault(run.apparatus, set()).add(round(float(size(run.channel({}).land)), 9))
    return [run for run in runs if len(sizes[run.apparatus]) > 1]


def _chosen(result, runs, **choice):
    """Return the tests of a fit with a choice made on some runs."""
    return [replace(test, **choice) if test in runs else test for test in result.tests]


def _slipping(result):
    """Return laws to start a slipping fit from: the one found, and one with the yield stress the tests of it give."""
    known = [own for test in result.tests if (own := test.own_yield_stress) is not None]
    if not known or "yield_stress" not in result.problem.free:
        return [result.law]
    return [result.law, replace(result.law, yield_stress=float(np.median(known)))]


def _below_yield(result, runs):
    """Compare the wall stress of every flowing row with the yield stress that tests without flow give."""
    known = [Said.by(test, result.law) for test in result.tests if len(test.yield_stresses())]
    if not known:
        return []
    deviate, flowing = limit(len(known)), [Said.flowing(test) for test in runs]
    floor = max(one.low / one.ratio / max(one.allowed(run, deviate) for run in flowing) for one in known)
    below, places = [], _flowing_below(result, runs, floor)
    for place, row in places:
        test = result.tests[place]
        below.append(f"{test.name} {test.rows_where(row)} ({written(_greatest_wall_stress(result, test)[row], 'Pa')})")
    allowed = f"{written(floor, 'Pa')}, the least the tests of the yield stress allow"
    comment = f"No row flows below {allowed}."
    if below:
        comment = f"Flow at wall stresses below {allowed}: {'; '.join(below)}. That is slip, or rows read too early."
    return [Check("no flow below the tests' yield stress", len(below), 0, not below, comment, places)]


def _flowing_below(result, runs, stress):
    """Return the rows of runs that flow although the wall bears less than a stress [Pa] at the law's reference: (place of the test, of the reading)."""

    def borne(test):
        return test.at_reference(result.law, 0.0, _greatest_wall_stress(result, test))[1]

    return tuple(
        (place, int(row))
        for place, test in enumerate(result.tests)
        if test in runs
        for row in np.flatnonzero((borne(test) < stress) & (test.flow_rate > 0))
    )


def _greatest_wall_stress(result, test):
    """Return the wall stress [Pa] of each row of a run if nothing were lost before the land."""
    return test.pressures(result.nuisance) / test.channel(result.nuisance).land_factor
