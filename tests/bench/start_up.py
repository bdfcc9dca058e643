"""Start-up of the command line, as ratios of medians taken round-robin in one run.

Run: python tests/bench/start_up.py [ROUNDS]. Prints one JSON line and a sentence.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import subprocess
import sys
import time

COMMANDS = {
    "pass": [sys.executable, "-c", "pass"],
    "click and numpy": [sys.executable, "-c", "import click, numpy"],
    "help": ["threadwright", "--help"],
    "identify": ["threadwright", "identify", "--major", "0.372 in", "--pitch", "20 tpi"],
}


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    script = shutil.which("threadwright")
    commands = dict(COMMANDS)
    if script is None:  # not installed: the module is run instead, which costs a little more
        run = [sys.executable, "-m", "threadwright"]
        commands |= {name: run + words[1:] for name, words in COMMANDS.items() if words[0] == "threadwright"}
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    times: dict[str, list[float]] = {name: [] for name in commands}
    for _ in range(rounds + 1):
        for name, words in commands.items():
            start = time.perf_counter()
            subprocess.run(words, capture_output=True, check=True, env=environment)
            times[name].append(time.perf_counter() - start)
    medians = {name: statistics.median(values[1:]) for name, values in times.items()}
    result = {
        "bench": "start_up",
        "rounds": rounds,
        "installed_script": script is not None,
        **{f"{name.replace(' ', '_')}_ms": round(1000 * value, 1) for name, value in medians.items()},
        "help_over_pass": round(medians["help"] / medians["pass"], 2),
        "identify_over_click_and_numpy": round(medians["identify"] / medians["click and numpy"], 2),
    }
    print(json.dumps(result))
    print(
        f"--help takes {result['help_over_pass']} times 'python -c pass' (target 5), identify "
        f"{result['identify_over_click_and_numpy']} times importing click and numpy (target 2.0)."
    )


if __name__ == "__main__":
    main()
