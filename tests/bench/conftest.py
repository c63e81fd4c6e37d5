"""Scripts that print figures are not looked through for tests: they import each other as scripts do."""

collect_ignore_glob = ["bench_*.py", "large.py", "peers.py"]
