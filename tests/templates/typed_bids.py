"""Three invented bids typed into the bid comparison."""

from templates.columns import put, shipped

NAME = "bid-comparison"

# No., item, trade, quantity, unit, our cost; then the unit prices of A, B and C.
LINES = (
    (1, "Board", "Shell", 10, "sheet", 500, 50, 45, 60),
    (2, "Stud", "Shell", 40, "piece", 560, 14, 15, 13),
    (3, "Door", "Doors", 1, "piece", 350, 400, None, 380),
)
BIDDERS = ("First (invented)", "Second (invented)", "Third (invented)")


def typed(system="US", **cells):
    """The template with three bids typed in; ``cells`` are more, as ``name=(row, value)``."""
    job = shipped(NAME, system)
    for row, (*asked, a, b, c) in enumerate(LINES):
        for name, value in zip(("numbers", "texts", "trades", "quantities", "units", "costs"), asked, strict=True):
            put(job, f"asked_{name}", row, value)
        for letter, price in zip("abc", (a, b, c), strict=True):
            if price is not None:
                put(job, f"bid_{letter}_prices", row, price)
    # By hand: 10 × 50 + 40 × 14 + 400 and so on.
    for row, (name, total) in enumerate(zip(BIDDERS, (1460, 1050, 1500), strict=True)):
        for column, value in (("names", name), ("taxes", "no"), ("sums", total), ("dates", 46000)):
            put(job, f"bidder_{column}", row, value)
    job.set({"project": "Invented house", "comparison_date": "2026-03-02"})
    for name, (row, value) in cells.items():
        put(job, name, row, value)
    return job
