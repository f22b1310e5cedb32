"""Makes tests/bench/README.md anew, the tables of accuracy: `python -m tests.bench.accuracy [players] [seed]`.

Knows no band; players.py and changing.py print what they measure.
"""

import io
import sys
from contextlib import redirect_stdout
from pathlib import Path

from tests.bench import changing, players

SHARE_BESIDE = 30  # per cent of the players are enough beside the median, where more rows are asked
README = Path(__file__).with_name("README.md")
HEAD = """# Accuracy, measured with invented players

Made by `python -m tests.bench.accuracy`, with seeds that no constant was chosen on (those were 500 and 900). The first
version of the estimate (tests/bench/first) hears the same balls in the same run.

## Players who change, and players who stay
"""


def main(count: int, seed: int) -> None:
    """Measure and write."""
    told, plain = io.StringIO(), io.StringIO()
    with redirect_stdout(told):
        changing.main(count, seed)
    with redirect_stdout(plain):
        players.main(max(1, count * SHARE_BESIDE // 100), seed)
    head, table = told.getvalue().split("\n", 1)
    other = f"## Against the median of clean balls, and the phone\n\n```\n{plain.getvalue()}```\n"
    README.write_text(f"{HEAD}\n{head}.\n\n{table}\n{other}", encoding="utf-8")


if __name__ == "__main__":
    given = [int(text) for text in sys.argv[1:]]
    main(*(given + [200, 71][len(given) :]))
