"""The triangles of a session's data package, read by Python's standard library alone.

python3 tests/published/r/data-package.py prints right, all, and the exact p.
"""
import csv
import math
import pathlib

folder = pathlib.Path(__file__).parent / "data-package"


def rows(name):
    with open(folder / f"{name}.csv", encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


counted = {
    (row["seat"], row["presentation"]): row
    for row in rows("ballots")
    if row["set"] == "triangle" and row["control"] == "" and row["void_reason"] == ""
}
picked = [
    (row, counted[row["seat"], row["presentation"]])
    for row in rows("answers")
    if row["chosen"] == "TRUE" and (row["seat"], row["presentation"]) in counted
]
right = sum(row["position"] == ballot["odd_position"] for row, ballot in picked)
n = len(picked)
p = sum(math.comb(n, x) * 2 ** (n - x) for x in range(right, n + 1)) / 3**n
print(right, n, repr(p))
