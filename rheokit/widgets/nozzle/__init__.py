"""Nozzle and force: pressure, flow, the plunger, the drive."""
