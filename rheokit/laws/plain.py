"""The plain case that worked examples of laws vary."""

TAPER = {"flow_rate": 2.3e-8, "inlet_radius": 2.1e-3, "outlet_radius": 0.8e-3}
"""Flow and taper of every law's worked example. [SI]"""
