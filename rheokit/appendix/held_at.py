"""At which temperature, water content and age of the paste a prediction holds, in words."""

from .study import Study

NAMES = {"temperature": "temperature", "water_content": "water content", "age": "age"}
SHORT = {"temperature": "{}", "water_content": "{}", "age": "age {}"}


def held_at(study: Study) -> str:
    """Return in a few words where force and pressure of the plan hold: "at 47 °C, u = 1.63, age 3 h"; what nobody stated is named."""
    at, read = _at(study), study.fit.told_read
    said = [
        SHORT[name].format(at.get(name) or read[name]) if name in at or name in read else f"{words} not stated"
        for name, words in NAMES.items()
    ]
    return f"at {', '.join(said)}" if not said[0].endswith("stated") else f"({', '.join(said)})"


def held_at_in_full(study: Study) -> str:
    """Return in sentences at which condition force and pressure of the plan are those of the law, and why at that one."""
    at, fit, case = _at(study), study.fit, study.case
    said = []
    for name, words in NAMES.items():
        if name not in at:
            read = f"they are of {fit.told_read[name]}, as it was read" if name in fit.told_read else "nobody stated it"
            said.append(f"the law does not depend on the {words}: {read}")
        elif name != "temperature" or case.exit_temperature is None:
            planned = "" if name == "temperature" else ", since the plan states none"
            said.append(f"{words} {at[name]}, that of the values of the law{planned}")
        else:
            said.append(
                f"temperature {at[name]}, the colder of the barrel and of the paste as it leaves the nozzle (mean over the flow), which is taken for every part "
                "from the plunger on: what flows warmer before needs less"
            )
    return f"Force and pressure hold {held_at(study)}. Of that: {'; '.join(said)}."


def _at(study):
    return study.fit.told_of(study.case.pressure_law)
