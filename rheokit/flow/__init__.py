"""Flow of a paste through nozzles: their geometry, the parts of their pressure, converging flow, slip, needles by gauge."""
