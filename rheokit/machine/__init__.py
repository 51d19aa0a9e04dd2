"""What pushes the paste: drives, the extruder, what it does while flow starts and stops, and its calibration."""
