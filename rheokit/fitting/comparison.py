def compare(*a, **k): raise SystemExit
