"""From a bench folder to a fitted law: one's own readings, the fit, its checks, the force."""
