def table(result): return None
